/**
 * What coaches of other languages write where this language wants an English word. Everyday words of German, French,
 * Italian and Spanish, from memory; a school's own terms stand in its lexicon.
 */
const PAIRS: readonly (readonly [english: string, others: string])[] = [
  // who
  ["I", "ich je io yo"],
  ["they", "gegner gegnerin er sie il elle ils adversaire avversario lui adversario rival"],
  ["me", "mir mich moi"],
  ["them", "ihm ihnen"],
  ["my", "mein meine meinen mon ma mes mio mia"],
  ["their", "sein seine seinen ihr ihre son sa ses suo sua su"],
  ["the", "der die das den dem le la les il lo el los"],
  // what happens
  [
    "hit",
    "treffe trifft treffen getroffen treffer touche touché touchons colpisco colpisce tocco toco tocado",
  ],
  ["cut", "haue haut hieb hieb coup taille taglio colpo tajo corte"],
  ["thrust", "steche sticht stich estoc pointe punta stoccata estocada"],
  ["slice", "schneide schnitt tranche"],
  ["parry", "pariere pariert parade pare parata paro parada"],
  ["attack", "angriff greife attaque attacco ataque"],
  ["riposte", "ripostiere riposta respuesta"],
  ["feint", "finte finta finto finta"],
  ["miss", "verfehle verfehlt daneben manque rate manco fallo"],
  ["double", "doppeltreffer doppel doublé doppio doble"],
  // where
  ["head", "kopf tête tete testa cabeza"],
  ["torso", "rumpf körper koerper oberkörper corps tronc busto torso cuerpo"],
  ["arm", "arme bras braccio brazo"],
  ["hand", "hände haende main mano"],
  ["leg", "bein beine jambe gamba pierna"],
  ["left", "links linken linke gauche sinistra sinistro izquierda"],
  ["right", "rechts rechten rechte droite droit destra destro derecha"],
  // the grammar
  ["then", "dann danach puis ensuite poi luego"],
  ["and", "und et e y"],
  ["or", "oder ou"],
  ["with", "mit avec con"],
  ["to", "auf zum à au aux alla"],
  ["from", "von vom aus depuis dal dalla desde"],
  ["at once", "sofort aussitôt subito"],
  ["never", "nie niemals nicht jamais mai nunca"],
  // pays
  ["points", "punkte punkt pkt points punti punto puntos"],
  ["bonus", "bonuspunkte bonuspunkt bonifico"],
];

const ENGLISH: ReadonlyMap<string, string> = new Map(
  PAIRS.flatMap(([english, others]) => others.split(" ").map((word) => [word, english] as const)),
);

/** The English word for an everyday foreign one; undefined where it is none. */
export const inEnglish = (word: string): string | undefined =>
  ENGLISH.get(word.toLowerCase().normalize("NFC"));
