/** The one written form of a bout sheet; reading it gives the same sheet. Ids of acts follow from the numbers. */
import type { Act, BoutSheet, Call, ExchangeLine, HadLine, SheetLine } from "../record.ts";
import type { Side } from "../vocabulary.ts";
import { endText } from "./sheet-act.ts";
import { SCOPE_TEXT, unitText } from "./sheet-brought.ts";
import { printKinds } from "./sheet-kinds.ts";

export function printSheet(sheet: BoutSheet): string {
  return sheet.map((line) => `${printLine(line)}\n`).join("");
}

const letter = (side: Side | "both"): string => ({ red: "R", blue: "B", both: "RB" })[side];

function printLine(line: SheetLine): string {
  switch (line.type) {
    case "exchange":
      return printExchange(line);
    case "pick":
      return joined(
        "pick",
        line.side && letter(line.side),
        line.pick,
        "=",
        [line.value, ...(line.or ?? [])].join(" or "),
      );
    case "mark":
      return joined(
        "mark",
        line.side && letter(line.side),
        line.mark,
        "=",
        [line.value, ...(line.or ?? [])].map(printMarkValue).join(" or "),
      );
    case "score":
      return `score ${line.red}-${line.blue}`;
    case "left-handed":
      return `left-handed ${letter(line.side)}`;
    case "weaker":
      return `weaker ${line.side === "nobody" ? line.side : letter(line.side)}`;
    case "warning":
      return `warning ${letter(line.side)}`;
    case "penalty":
      return `penalty ${letter(line.side)}`;
    case "end":
      return joined(
        "end",
        line.ending?.replace(/^(red|blue)( wins)?/u, (_, side) => letter(side as Side)),
      );
    case "bout":
      return line.red === undefined && line.blue === undefined
        ? "bout"
        : `bout R ${printFencer(line.red ?? "Red", line.redTeam)}, B ${printFencer(line.blue ?? "Blue", line.blueTeam)}`;
    case "hall":
      return "hall";
    case "had":
      return printHad(line);
    case "granted":
      return `granted ${line.exchange} ${letter(line.side)} "${line.rule}" = ${line.n}`;
    case "evening":
      return "evening";
  }
}

const joined = (...parts: readonly (string | undefined)[]): string =>
  parts.filter((part) => part !== undefined && part !== "").join(" ");

function printMarkValue(value: number | string | boolean): string {
  if (value === true) return "on";
  if (value === false) return "off";
  return value === "red" || value === "blue" ? letter(value) : String(value);
}

function printHad({ side, rule, least, most, of, scope }: HadLine): string {
  const amount = least === most ? `${least}` : `${least} to ${most}`;
  const what = rule === undefined ? undefined : `"${rule}"`;
  return joined("had", side && letter(side), what, amount, unitText(of, most), SCOPE_TEXT[scope]);
}

const printFencer = (name: string, team: string | undefined): string =>
  team === undefined ? printName(name) : `${printName(name)} of ${printName(team)}`;

/** A name with "of" in it would read as a team's. */
const printName = (name: string): string =>
  !/\sof\s/iu.test(name) && /^[\p{L}\p{N}]([\p{L}\p{N} .'’-]*[\p{L}\p{N}.])?$/u.test(name)
    ? name
    : `"${name}"`;

function printExchange(line: ExchangeLine): string {
  const acts = line.acts.map(printAct).join(", ");
  return joined(
    line.again === true ? "again" : undefined,
    String(line.no),
    line.how,
    acts,
    line.how === "no exchange" ? undefined : printOpen(line),
    line.left === undefined ? undefined : `[${line.left} s left]`,
    ...(line.calls ?? []).map(printCall),
    line.picks && printPicks(line.picks),
  );
}

function printOpen({ open, closed }: ExchangeLine): string | undefined {
  if (open === true) return closed && closed.length > 0 ? `but no ${printKinds(closed)}` : undefined;
  return open === false ? "." : `. but ${printKinds(open)}`;
}

function printCall(call: Call): string {
  return joined(
    `call ${call.call} ${letter(call.for)}`,
    call.value === undefined ? undefined : String(call.value),
    call.reason === undefined ? undefined : `"${call.reason}"`,
    call.source && `@${call.source}`,
    call.assent && `assent @${call.assent}`,
  );
}

const printPicks = (picks: Readonly<Record<string, string>>): string =>
  `{${Object.entries(picks)
    .map(([pick, value]) => `${pick} = ${value}`)
    .join(", ")}}`;

/** One action, "R riposte descending cut torso from the right ! @j1", without its id. */
function printAct(act: Act): string {
  return joined(
    act.after === undefined ? undefined : `${act.after} s later`,
    letter(act.by),
    act.kind,
    act.direction,
    act.edge,
    act.form,
    act.blow,
    act.hand,
    act.footwork,
    act.target,
    ...(act.from ?? []).map((place) => `from ${place}`),
    ...(act.manners ?? []),
    ...(act.not ?? []).map((word) => `not ${word}`),
    act.for === undefined ? undefined : `for ${act.for} s`,
    // An afterblow is a hit; saying so again would be noise.
    act.kind === "afterblow" && act.end === "hit" ? undefined : act.end && endText(act.end),
    act.source && `@${act.source}`,
  );
}
