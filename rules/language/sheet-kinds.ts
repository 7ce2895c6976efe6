/** What a line leaves open or closes: kinds of action, of either fencer or of one ("R parry"), manners, and families. */
import { SIDES } from "../vocabulary.ts";
import { whoActs } from "./sheet-act.ts";
import type { Token } from "./sheet-tokens.ts";
import type { SheetWords } from "./sheet-words.ts";

/** Families that stand for all their words (S3). */
const FAMILIES: ReadonlySet<string> = new Set(["contact", "tempo", "measure"]);

export interface Kinds {
  /** "parry", "red parry", "in one tempo", "contact"; sorted, each once. */
  readonly kinds: readonly string[];
  readonly next: number;
  /** What is no kind. */
  readonly wrong: readonly (Token | undefined)[];
}

/** `R parry, feint, tempo` from a token on. */
export function readKinds(tokens: readonly Token[], from: number, words: SheetWords): Kinds {
  const kinds = new Set<string>();
  const wrong: (Token | undefined)[] = [];
  let next = from;
  for (let more = true; more;) {
    const by = whoActs(tokens[next]?.text ?? "");
    const side = by === undefined || by === "both" ? "" : `${by} `;
    if (side !== "") next++;
    const token = tokens[next];
    const match = token && words.match(tokens, next, side === "" ? ["action", "manner"] : ["action"]);
    const name =
      match?.words[0]?.name ?? (side === "" && token && FAMILIES.has(token.text) ? token.text : undefined);
    if (name === undefined) wrong.push(token);
    else kinds.add(side + name);
    next += match?.length ?? 1;
    more = tokens[next]?.text === ",";
    if (more) next++;
  }
  return { kinds: [...kinds].sort(), next, wrong };
}

/** The name that a kind has in a record, or undefined where it is none. */
export function kindNamed(text: string, words: SheetWords): string | undefined {
  if (FAMILIES.has(text)) return text;
  const side = SIDES.find((one) => text.startsWith(`${one} `));
  if (side === undefined) return words.named(text, ["action", "manner"])?.name;
  const action = words.named(text.slice(side.length + 1), ["action"]);
  return action && `${side} ${action.name}`;
}

export const printKinds = (kinds: readonly string[]): string =>
  kinds.map((kind) => kind.replace(/^red /u, "R ").replace(/^blue /u, "B ")).join(", ");
