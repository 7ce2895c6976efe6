/** Whole turns of speech for which the language has one sentence of its own: tried before word after word is mended. */

type Turn = readonly [wrong: RegExp, right: string | ((...found: string[]) => string)];

const NUMBERS = "zero|one|two|three|four|five|six|seven|eight|nine|ten".split("|");
const ORDINALS = "first|second|third|fourth|fifth|sixth|seventh|eighth|ninth|tenth".split("|");
const number = (word = ""): string => {
  const at = NUMBERS.indexOf(word.toLowerCase());
  return at < 0 ? word : String(at);
};
const mine = (who = ""): string => (who.toLowerCase() === "i" ? "my" : "their");
const OTHER: Readonly<Record<string, string>> = { i: "they", they: "I" };

const TURNS: readonly Turn[] = [
  // What is done
  [/^(I|they) (.+) first$/i, "first $1 $2"],
  [/^(I|they) ([a-z]+) twice\b(?! in a row)/i, "$1 $2, then $1 $2"],
  [/^(I|they) ([a-z]+) (?:three times|3 times)\b(?! in a row)/i, "$1 $2, then $1 $2, then $1 $2"],
  [/^(?:nobody|neither) ([a-z]+?)s?$/i, "I or they never $1"],
  // How it stands
  [/^it is the ([a-z]+) exchange$/i, (all, nth = "") => nthExchange(all, nth)],
  [/^it is one of the first (\w+) exchanges$/i, (_, n) => `it is exchange ${number(n)} or less`],
  [/^(I|they) have (?:no|0) ([a-z ]+)$/i, (_, who, what) => `${mine(who)} ${what ?? ""} is 0`],
  [/^(I|they) have an? ([a-z]+)$/i, (_, who, what) => `${mine(who)} ${what ?? ""}s is 1 or more`],
  [
    /^(I|they) have (?:at least )?(\w+)(?: or more)? ([a-z ]+)$/i,
    (all, who, n, what) =>
      /^\d/.test(number(n)) ? `${mine(who)} ${what ?? ""} is ${number(n)} or more` : all,
  ],
  [
    /^(I|they) have the ([a-z ]+)$/i,
    (_, who, what) => `the ${what ?? ""} is ${mine(who) === "my" ? "mine" : "theirs"}`,
  ],
  [/^(I|they) (?:won|scored in|score in) the last exchange$/i, "in the last exchange $1 score"],
  [
    /^(I|they) lost the last exchange$/i,
    (_, who = "") => `in the last exchange ${OTHER[who.toLowerCase()] ?? who} score`,
  ],
  [/^(I|they) scored? in the last exchange$/i, "in the last exchange $1 score"],
  [
    /^(?:the last exchange was|it was) (a double|simultaneous)(?: in the last exchange)?$/i,
    "in the last exchange it is $1",
  ],
  [/ (?:equals|is equal to|is the same as) (?=theirs|my |their |the )/i, " is level with "],
  [/ is (?:over|above) /i, " is more than "],
  [/ is (?:under|below) /i, " is less than "],
  [/^there are (?:less than|under) (\d+) s left$/i, "$1 s or less are left"],
  [
    /^(?:the )?(?:referee|judge) (?:calls|says|gives) ([a-z -]+?)(?: (?:for|to) (me|them))?$/i,
    (_, call, whom) => `the judge calls ${call ?? ""} for ${whom ?? "me"}`,
  ],
  [/^(?:exactly|any) (\w+) of (?=.+;)/i, (_, n) => `${number(n)} of `],
  [/^at least (\w+) of (?=.+;)/i, (_, n) => `${number(n)} or more of `],
  // What it does
  [/^(?:cancel|void|remove|delete|take away) /i, "annul "],
  [/^(annul|double|triple|halve) (my|their) (?:hit|touch)$/i, "$1 $2 points"],
  [/^end the bout, I win$/i, "end the bout, they lose"],
  [/^end the bout, they win$/i, "end the bout, I lose"],
  [/^(I|they) lose the bout$/i, "end the bout, $1 lose"],
  [/^the bout ends$/i, "end the bout"],
  [/^give (me|them) a (?:warning|yellow card|card)$/i, "warn $1"],
  [/^give my (points|bonus|points and bonus) to them$/i, "turn my $1 over to them"],
  // Pays
  [/ (?:to|for) (?:both(?: of us)?|each(?: of us)?|both fencers)$/i, " to us both"],
  [/ each$/i, " to us both"],
  [/^up to (\S+) (bonus|points?) to me$/i, "between 0 and $1 $2 to me as the judge says"],
  [
    /^(\d+) ?(?:to|-|–) ?(\d+) (bonus|points?) to me(?: as the judge says)?$/i,
    "between $1 and $2 $3 to me as the judge says",
  ],
  [/ (?:for (?:each|every)|per) second$/i, " for each full 1 s"],
  [/ (?:for every|per) (\d+) s$/i, " for each full $1 s"],
  [/^(?:double the touch|(?:as much as )?the touch(?: again)?)(?: to me)?$/i, "1 point to me times my touch"],
  [
    /^my ([a-z ]+) (bonus|points?) to me$/i,
    (_, mark, unit) => `1 ${(unit ?? "").replace(/s$/, "")} to me times my ${mark ?? ""}`,
  ],
  // At most
  [
    /^(\S+(?: bonus| points?| times)?) (?:per|an?|for each|against the same|against each) (?:opponent|partner)$/i,
    "$1 a pair tonight",
  ],
  [/^(.+) for both$/i, "$1 for us both"],
];

function nthExchange(all: string, nth: string): string {
  const at = ORDINALS.indexOf(nth.toLowerCase());
  return at < 0 ? all : `it is exchange ${String(at + 1)}`;
}

/** The sentence with one turn put right, one after the other, each upon what the ones before have left. */
export function* turnsOf(text: string): Generator<string> {
  let now = text.trim();
  for (const [wrong, right] of TURNS) {
    const next = typeof right === "string" ? now.replace(wrong, right) : now.replace(wrong, right);
    if (next === now) continue;
    now = next;
    yield now;
  }
}
