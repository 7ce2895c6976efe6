import { describe, expect, test } from "vitest";
import { checkCoachRequest, checkSent, idOf, secretOf } from "../../../table-ui/wire/checks.ts";

const exchange = {
  id: "abcdefgh-1",
  on: { bout: "b1" },
  pen: { epoch: 1, seq: 4 },
  at: 1_900_000_000_000,
  command: {
    type: "RecordExchange",
    exchange: "x1",
    record: { acts: [{ by: "red", kind: "riposte", target: "torso", end: "hit" }], open: false },
  },
};

const why = (message: unknown): string => {
  const checked = checkSent(message);
  return checked.ok ? "it passed" : `${checked.refusal.refused}: ${checked.refusal.sentence}`;
};

describe("[W13] what is no message of ours is refused and says where", () => {
  test("a whole command passes, and nothing of it is lost", () => {
    expect(checkSent(exchange)).toEqual({ ok: true, value: exchange });
  });

  test("the sentence names the place", () => {
    const acts = [{ by: "green", kind: "riposte" }];
    const command = { ...exchange.command, record: { acts, open: false } };
    expect(why({ ...exchange, command })).toContain("command.record.acts[0].by");
  });

  test.each([
    ["nothing", undefined],
    ["null", null],
    ["a number", 7],
    ["a list", []],
    ["an unknown command", { ...exchange, command: { type: "WinBout" } }],
    ["a key that no command has", { ...exchange, command: { type: "CallHalt", extra: 1 } }],
    ["a key that no message has", { ...exchange, admin: true }],
    ["a command of the evening on a bout", { ...exchange, command: { type: "AddFencer", person: "p" } }],
    ["a command of a bout on the evening", { ...exchange, on: "meet" }],
    ["an id that is too short", { ...exchange, id: "abc" }],
    ["an id with a space", { ...exchange, id: "abcdefgh 1" }],
    ["a clock that is no number", { ...exchange, command: { type: "SetClock", leftMs: NaN } }],
    ["a clock below nothing", { ...exchange, command: { type: "SetClock", leftMs: -1 } }],
    ["half a millisecond", { ...exchange, at: 0.5 }],
    [
      "an exchange named like a prototype",
      { ...exchange, command: { ...exchange.command, exchange: "__proto__" } },
    ],
    ["a reason with a line break", { ...exchange, command: { type: "Stop", why: "stop\nnow" } }],
    ["a reason of a thousand letters", { ...exchange, command: { type: "Stop", why: "x".repeat(1000) } }],
    [
      "a hundred acts",
      {
        ...exchange,
        command: {
          ...exchange.command,
          record: { acts: Array.from({ length: 100 }, () => ({ by: "red" })), open: true },
        },
      },
    ],
  ])("%s", (_, message) => {
    expect(why(message)).toMatch(/^bad-message: /);
  });

  test("a key that is there but undefined is not there, and is refused", () => {
    const record = { acts: [], open: true, left: undefined };
    expect(why({ ...exchange, command: { ...exchange.command, record } })).toMatch(/^bad-message: /);
  });

  test("the answer carries the command's id wherever there is one", () => {
    expect(idOf({ id: "abcdefgh-1", command: 7 })).toBe("abcdefgh-1");
    expect(idOf({ id: 7 })).toBe("");
    expect(idOf(null)).toBe("");
  });
});

test("the coach's requests pass the same door", () => {
  expect(checkCoachRequest({ ask: "call bout", bout: "b1" }).ok).toBe(true);
  expect(checkCoachRequest({ ask: "call bout" }).ok).toBe(false);
  expect(checkCoachRequest({ ask: "read rule set", text: "x".repeat(70_000) }).ok).toBe(false);
  expect(checkCoachRequest({ ask: "issue seat", kind: "coach" }).ok).toBe(false);
});

test("a handshake without a secret in the right form has none", () => {
  expect(secretOf({ secret: "AAAAAAAAAAAAAAAAAAAAAA" })).toBe("AAAAAAAAAAAAAAAAAAAAAA");
  expect(secretOf({ secret: "AAAA" })).toBeUndefined();
  expect(secretOf({ secret: ["AAAAAAAAAAAAAAAAAAAAAA"] })).toBeUndefined();
  expect(secretOf(undefined)).toBeUndefined();
});
