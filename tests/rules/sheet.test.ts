import { describe, expect, test } from "vitest";
import { formatFaults, type Outcome } from "../../rules/language/faults.ts";
import { printJsonLines, printSheet, readJsonLines, readSheet } from "../../rules/language/sheet.ts";
import type { Act, BoutSheet, ExchangeLine, SheetLine } from "../../rules/record.ts";
import { SHEET_RULES as RULES } from "./sheet-rules.ts";

const must = <T>(outcome: Outcome<T>): T => {
  if (!outcome.ok) throw new Error(formatFaults(outcome.faults));
  return outcome.value;
};
const read = (text: string): BoutSheet => must(readSheet(text, RULES));
const line = (text: string): SheetLine => {
  const sheet = read(text);
  expect(sheet).toHaveLength(1);
  return sheet[0] as SheetLine;
};
const exchange = (text: string): ExchangeLine => line(text) as ExchangeLine;
const act = (text: string): Act => {
  const { acts } = exchange(`1 ${text}`);
  expect(acts).toHaveLength(1);
  const { id: _id, ...rest } = acts[0] as Act;
  return rest;
};
/** "1:3 said-twice" for each fault. */
const faults = (text: string): readonly string[] => {
  const outcome = readSheet(text, RULES);
  return outcome.ok ? [] : outcome.faults.map((one) => `${one.line}:${one.column} ${one.code}`);
};
const message = (text: string): string => {
  const outcome = readSheet(text, RULES, "evening.sheet");
  return outcome.ok ? "" : formatFaults(outcome.faults);
};
const printed = (text: string): string => printSheet(read(text)).trimEnd();

describe("an action's words", () => {
  test("come in any order and leave in one", () => {
    const same = [
      "1 R cut descending head !",
      "1 R head descending cut !",
      "1 R descending cut to the head !",
    ];
    for (const one of same) expect(printed(one)).toBe("1 R descending cut head !");
  });

  test("mean their class: kind, form, blow, target, hand, footwork, manner", () => {
    expect(act("R thrust one hand torso lunge in opposition !")).toEqual({
      by: "red",
      form: "thrust",
      hand: "one hand",
      target: "torso",
      footwork: "lunge",
      manners: ["in opposition"],
      end: "hit",
    });
    expect(act("B riposte zwerchhau upper left opening miss")).toEqual({
      by: "blue",
      kind: "riposte",
      blow: "zwerchhau",
      target: "upper left opening",
      end: "miss",
    });
  });

  test("may be several words long, with or without articles and hyphens", () => {
    expect(act("R control the weapon arm").kind).toBe("control the weapon arm");
    expect(act("R slip leg").kind).toBe("slip the leg");
    expect(act("R Stop Hit cut arm !")).toEqual(act("R stop-hit cut arm !"));
    expect(act("R cut head with the hand exposed").manners).toEqual(["with the hand exposed"]);
  });

  test("other spellings leave as the word's own name", () => {
    expect(act("R evade").kind).toBe("void");
    expect(act("R zwerch head !").blow).toBe("zwerchhau");
    expect(act("R cut head from ochs").from).toEqual(["ox"]);
  });

  test("a place after from is a guard or a side of the striker", () => {
    expect(act("R cut from ox head !")).toEqual(act("R cut head from the ox !"));
    expect(act("R cut head from the right from ox").from).toEqual(["ox", "right"]);
    expect(act("R thrust lunge from out of measure").manners).toEqual(["from out of measure"]);
  });

  test("[S14] not may stand before any word", () => {
    expect(act("R thrust not off hand not head not from out of measure").not).toEqual([
      "from out of measure",
      "head",
      "off hand",
    ]);
  });

  test("a length, a source and an end", () => {
    expect(act("RB wait for 41.5 s @table")).toEqual({
      by: "both",
      kind: "wait",
      for: 41.5,
      source: "table",
    });
    expect(act("R cut head !? @j1").end).toBe("perhaps");
    expect(act("R cut head fall short").end).toBe("fall short");
    expect(act("R cut head")).toEqual({ by: "red", form: "cut", target: "head" });
  });

  test("an afterblow is a hit", () => {
    expect(act("B afterblow hand").end).toBe("hit");
    expect(printed("1 R torso !, B afterblow hand !")).toBe("1 R torso !, B afterblow hand");
    expect(faults("1 R torso !, B afterblow hand miss")).toEqual(["1:31 afterblow-hits"]);
  });
});

describe("a line", () => {
  test("[S1] is open without a full stop, closed with one, open for some kinds with but", () => {
    expect(exchange("1 R cut head !").open).toBe(true);
    expect(exchange("1 R cut head ! .").open).toBe(false);
    expect(exchange("1 R cut head !.").open).toBe(false);
    expect(exchange("1 R cut head ! . but tempo, contact").open).toEqual(["contact", "tempo"]);
    expect(exchange("1 R cut head ! . but parry").open).toEqual(["parry"]);
    expect(exchange("1 R cut head ! . but R parry, feint").open).toEqual(["feint", "red parry"]);
    expect(exchange("1").acts).toEqual([]);
  });

  test("an open line may say what surely did not happen", () => {
    expect(exchange("1 R cut head ! but no B parry, tempo")).toMatchObject({
      open: true,
      closed: ["blue parry", "tempo"],
    });
    expect(printed("1 R cut head ! but no tempo, B parry [9 s left]")).toBe(
      "1 R cut head ! but no B parry, tempo [9 s left]",
    );
    expect(faults("1 R cut head ! but no ghosts")).toEqual(["1:23 bad-but"]);
  });

  test("[S8] a no exchange is always closed", () => {
    expect(line("2 no exchange")).toEqual({
      type: "exchange",
      no: 2,
      how: "no exchange",
      acts: [],
      open: false,
    });
    expect(printed("2 no exchange .")).toBe("2 no exchange");
  });

  test("says what is said of the whole exchange", () => {
    expect(exchange("1 double R cut head !, B cut arm !").how).toBe("double");
    expect(exchange("1 simultaneous R cut, B cut").how).toBe("simultaneous");
  });

  test("gives its acts ids from the number and the place", () => {
    expect(exchange("12 B cut head, R parry, R riposte head !").acts.map(({ id }) => id)).toEqual([
      "12a",
      "12b",
      "12c",
    ]);
  });

  test("the clock at the halt, calls and picks of the exchange", () => {
    const found = exchange(
      '1 R cut head ! . [25 s left] call praise R 2 "good measure" @j1 assent @j2 {Luck = Pays}',
    );
    expect(found.left).toBe(25);
    expect(found.calls).toEqual([
      { call: "praise", for: "red", value: 2, reason: "good measure", source: "j1", assent: "j2" },
    ]);
    expect(found.picks).toEqual({ luck: "pays" });
  });

  test("comments and blank lines are dropped; a # in a reason is text", () => {
    expect(read("# a bout\n\n1 R cut head ! # clean\n")).toEqual(read("1 R cut head !"));
    expect(exchange('1 R cut head ! call praise B "touch #2"').calls?.[0]?.reason).toBe("touch #2");
  });

  test("[S15] again rewrites an exchange; bout begins the numbers anew", () => {
    expect(read("1 R cut head\nagain 1 R cut head !").map((one) => (one as ExchangeLine).again)).toEqual([
      undefined,
      true,
    ]);
    expect(read("1 R cut head\nbout R Ana, B Ben\n1 B cut head")).toHaveLength(3);
    expect(faults("1 R cut head\n1 B cut head")).toEqual(["2:1 number-taken"]);
    expect(faults("again 4 R cut head")).toEqual(["1:1 nothing-to-rewrite"]);
    expect(faults("3 R cut head\n2 R cut arm")).toEqual(["2:1 number-back"]);
  });
});

describe("the other lines", () => {
  test.each<[string, SheetLine]>([
    [
      "pick R secret opening = upper left opening",
      { type: "pick", side: "red", pick: "secret opening", value: "upper left opening" },
    ],
    ["pick luck = nothing", { type: "pick", pick: "luck", value: "nothing" }],
    ["mark R slips = 4", { type: "mark", side: "red", mark: "slips", value: 4 }],
    ["mark B slips = -1.5", { type: "mark", side: "blue", mark: "slips", value: -1.5 }],
    ["mark hill = B", { type: "mark", mark: "hill", value: "blue" }],
    ["mark hill = nobody", { type: "mark", mark: "hill", value: "nobody" }],
    ["mark hurry = on", { type: "mark", mark: "hurry", value: true }],
    ["score 2-1", { type: "score", red: 2, blue: 1 }],
    ["score -1--0.5", { type: "score", red: -1, blue: -0.5 }],
    ["penalty R", { type: "penalty", side: "red" }],
    ["end", { type: "end" }],
    ["end B", { type: "end", ending: "blue wins" }],
    ["end R forfeits", { type: "end", ending: "red forfeits" }],
    ["end both lose", { type: "end", ending: "both lose" }],
    ["end stopped", { type: "end", ending: "stopped" }],
    ["bout", { type: "bout" }],
    ["bout R Ana Lund, B Ben", { type: "bout", red: "Ana Lund", blue: "Ben" }],
    ['bout R "Lund, Ana #2", B Ben', { type: "bout", red: "Lund, Ana #2", blue: "Ben" }],
    ["evening", { type: "evening" }],
  ])("%s", (text, expected) => {
    expect(line(`${text}   # why`)).toEqual(expected);
    expect(printed(text)).toBe(text);
  });
});

describe("what is wrong is said, all at once, with its place and its cure", () => {
  test("the file, line and column, the line, and a caret", () => {
    expect(message("1 R cut head !\n2 R cut haed !")).toBe(
      [
        'evening.sheet:2:9: "haed" is not a word I know here. Did you mean "head"?',
        "2 R cut haed !",
        "        ^",
      ].join("\n"),
    );
  });

  test("several faults of several lines come together", () => {
    expect(
      faults("1 R cut haed !, B zwerchau torso !\n2 R cut\nscore two-one\nfoo 3\n4 R cut head torso !"),
    ).toEqual([
      "1:9 unknown-word",
      "1:19 unknown-word",
      "3:7 bad-score",
      "4:1 unknown-line",
      "5:14 said-twice",
    ]);
  });

  test.each([
    ["1 cut head !", "1:3 nobody-acts", 'Who acts? Write R, B or RB before "cut".'],
    ["1 R, B cut head !", "1:3 empty-act", "What does R do?"],
    ["1 R hit head", "1:5 write-hit", 'Write "!" for a hit'],
    ["1 R parry beat", "1:11 said-twice", "put a comma between two actions"],
    ["1 R head not head", "1:14 cannot-hold-together", "cannot both hold"],
    ["1 R thrust in one tempo in two tempi", "1:25 cannot-hold-together", "cannot both hold"],
    ["1 R rising zornhau", "1:12 cannot-hold-together", '"rising" and "zornhau" cannot both hold'],
    ["1 R cut ! miss", "1:11 cannot-hold-together", "cannot both hold"],
    ["1 R wait for ages", "1:10 bad-seconds", '"for 41 s"'],
    ["1 R cut not quickly", "1:13 not-what", '"not" needs a word after it'],
    ["1 R cut [late]", "1:9 bad-time-left", "[25 s left]"],
    ["1 R cut call bravo R", "1:14 bad-call", "call NAME R"],
    ["1 R cut . but later", "1:15 bad-but", ". but contact, R parry"],
    ["1 R cut . B parry", "1:11 bad-tail", "does not fit here"],
    ["1 R cut {luck = rain}", "1:17 unknown-value", "They are: pays, nothing"],
    ["pick R secret opennig = upper left opening", "1:8 unknown-pick", 'Did you mean "secret opening"?'],
    ["mark slip = 3", "1:6 unknown-mark", 'Did you mean "slips"?'],
    ["mark slips = many", "1:14 bad-mark-value", "write a number"],
    ["pick luck", "1:1 bad-assignment", "NAME = VALUE"],
    ["end badly", "1:5 bad-end", "How did it end?"],
    ["bout Ana Ben", "1:6 bad-bout", "bout R Ana, B Ben"],
    ["penalty", "1:1 bad-penalty", "penalty R"],
    ["again R cut", "1:7 bad-number", "again 3"],
    ["1.5 R cut", "1:1 bad-number", "Write its number"],
    ["scroe 2-1", "1:1 unknown-line", "begins no line that I know"],
    ["1 R cut head ! §", "1:16 unknown-word", "not a word I know"],
  ])("%s", (text, place, words) => {
    expect(faults(text)).toEqual([place]);
    expect(message(text)).toContain(words);
  });

  test("a word with two meanings asks for the weapon, and names both", () => {
    const nothingSaid = { ...RULES };
    const { weapon: _weapon, ...anyWeapon } = nothingSaid;
    const outcome = readSheet("1 R parry in tierce", anyWeapon);
    expect(outcome.ok ? "" : outcome.faults[0]?.code).toBe("two-meanings");
  });

  test("a cure can be put in with one press", () => {
    const outcome = readSheet("2 R cut haed !", RULES);
    const fault = outcome.ok ? undefined : outcome.faults[0];
    expect(fault?.cure).toEqual({ from: 8, to: 12, text: "head" });
  });
});

const badLine = (text: string): string => {
  const outcome = readJsonLines(text, RULES, "bout.jsonl");
  return outcome.ok ? "" : (formatFaults(outcome.faults).split("\n")[0] ?? "");
};

describe("[S3] JSON Lines", () => {
  test("hold the same content", () => {
    expect(printJsonLines(read("2 B cut head, R parry, R riposte torso ! @j1 ."))).toBe(
      '{"type":"exchange","no":2,"acts":[{"by":"blue","form":"cut","target":"head"},{"by":"red","kind":"parry"},' +
        '{"by":"red","kind":"riposte","target":"torso","end":"hit","source":"j1"}],"open":false}\n',
    );
  });

  test("keep ids that somebody gave, and give those that nobody did", () => {
    const text =
      '{"type":"exchange","no":1,"acts":[{"id":"x7","by":"red","kind":"parry"},{"by":"red"}],"open":true}\n';
    const sheet = must(readJsonLines(text, RULES));
    expect((sheet[0] as ExchangeLine).acts.map(({ id }) => id)).toEqual(["x7", "1b"]);
    expect(printJsonLines(sheet)).toBe(text);
  });

  test("other spellings leave as the word's own name, as in a sheet", () => {
    const text =
      '{"type":"exchange","no":1,"acts":[{"by":"red","kind":"Evade"},{"by":"blue","blow":"zwerch","from":["tag"]}],"open":false}';
    expect(must(readJsonLines(text, RULES))).toEqual(read("1 R void, B zwerchhau from day ."));
  });

  test.each([
    ['{"type":"exchange"', "bout.jsonl:1:1: This line is not JSON."],
    [
      '{"type":"exchange","no":1,"acts":[{"by":"green"}],"open":true}',
      'bout.jsonl:1:36: "acts 1 by" is not as it should be: write red, blue or both.',
    ],
    [
      '{"type":"exchange","no":1,"acts":[{"by":"red","foot":"left"}],"open":true}',
      'bout.jsonl:1:47: "acts 1" is not as it should be: it has no place for foot.',
    ],
    [
      '{"type":"exchange","no":1,"acts":[{"by":"red","target":"haed"}],"open":true}',
      'bout.jsonl:1:56: "haed" is not a word I know here. Did you mean "head"?',
    ],
    [
      '{"type":"exchange","no":1,"acts":[],"open":"no"}',
      'bout.jsonl:1:37: "open" is not as it should be: write true, false or a list of kinds.',
    ],
    ['{"type":"dance"}', 'bout.jsonl:1:2: "type" is not as it should be: begin with "type"'],
    [
      '{"type":"pick","pick":"luck","value":"rain"}',
      'bout.jsonl:1:38: "rain" is not one of the values of "luck".',
    ],
    [
      '{"type":"mark","mark":"slips","value":"many"}',
      'bout.jsonl:1:39: "many" is not what "slips" holds: write a number.',
    ],
  ])("%s", (text, expected) => {
    expect(badLine(text)).toContain(expected);
  });
});
