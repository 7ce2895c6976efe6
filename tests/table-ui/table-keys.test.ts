/** The table's keyboard (WCAG 2.2, 2.1.4: single keys can be switched off or moved). */
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  actionOf,
  capOf,
  codeOf,
  LAYOUT,
  remap,
  type Layout,
  type Press,
  type TableAction,
} from "../../table-ui/screens/table/keys.ts";

const say = (action: TableAction): string => JSON.stringify(action);
const ones = (...is: readonly string[]): readonly TableAction[] =>
  is.map((each) => ({ is: each }) as TableAction);
const upTo = (n: number): readonly number[] => Array.from({ length: n }, (_, index) => index);

/** Everything that the keyboard can do at the table. */
const ACTIONS: readonly TableAction[] = [
  ...upTo(5).map((index): TableAction => ({ is: "hit", side: "red", index })),
  ...upTo(5).map((index): TableAction => ({ is: "hit", side: "blue", index })),
  ...upTo(4).map((index): TableAction => ({ is: "neither", index })),
  ...upTo(9).map((index): TableAction => ({ is: "chip", index })),
  ...ones("clock", "record", "undo", "penalty", "stop", "yes", "no", "later", "pause"),
];

const keysOf = (layout: Layout, action: TableAction): readonly string[] =>
  Object.entries(layout).flatMap(([code, each]) => (say(each) === say(action) ? [code] : []));

const STOP: TableAction = { is: "stop" };
const plain = (code: string, more: Partial<Press> = {}): Press => ({
  code,
  modified: false,
  repeat: false,
  typing: false,
  onControl: false,
  inDialog: false,
  ...more,
});

describe("the layout", () => {
  test("every action has a key, Stop has two, everything else has one, and no other key does anything", () => {
    for (const action of ACTIONS)
      expect(keysOf(LAYOUT, action).length, say(action)).toBe(action.is === "stop" ? 2 : 1);
    expect(Object.keys(LAYOUT).length).toBe(ACTIONS.length + 1);
  });

  test("no key has two actions: each does by itself exactly what the layout says", () => {
    for (const [code, action] of Object.entries(LAYOUT))
      expect(actionOf(LAYOUT, plain(code))).toEqual(action);
  });

  test("Stop: Esc, and a second key that every tablet's keyboard has", () => {
    expect(keysOf(LAYOUT, STOP)).toEqual(["Escape", "KeyH"]);
  });

  test("Red's hits are the upper row, Blue's the lower one, on every layout of letters", () => {
    const row = (codes: string): readonly (TableAction | undefined)[] =>
      [...codes].map((letter) => LAYOUT[`Key${letter}`]);
    expect(row("QWERT")).toEqual(upTo(5).map((index) => ({ is: "hit", side: "red", index })));
    expect(row("ZXCVB")).toEqual(upTo(5).map((index) => ({ is: "hit", side: "blue", index })));
  });

  test("the cap shows what the key has typed on this keyboard, else its letter on most", () => {
    expect(capOf("KeyQ", {})).toBe("Q");
    expect(capOf("KeyQ", { KeyQ: "A" })).toBe("A");
    expect(["Digit3", "Escape", "Backspace", undefined].map((code) => capOf(code, {}))).toEqual([
      "3",
      "Esc",
      "⌫",
      "",
    ]);
  });
});

describe("what is left to the browser", () => {
  test.each(["modified", "repeat", "typing", "inDialog"] as const)(
    "a press that is %s, on every key",
    (so) => {
      for (const code of Object.keys(LAYOUT))
        expect(actionOf(LAYOUT, plain(code, { [so]: true })), code).toBeUndefined();
    },
  );

  test("Space and Enter where focus is visibly on a control; no other key", () => {
    const left = Object.keys(LAYOUT).filter(
      (code) => actionOf(LAYOUT, plain(code, { onControl: true })) === undefined,
    );
    expect(left.toSorted()).toEqual(["Enter", "Space"]);
  });

  test("Space and Enter act on that control whatever they have been moved to", () => {
    const moved = remap(remap(LAYOUT, STOP, "Space"), { is: "undo" }, "Enter");
    expect(actionOf(moved, plain("Space"))).toEqual(STOP);
    expect(actionOf(moved, plain("Space", { onControl: true }))).toBeUndefined();
    expect(actionOf(moved, plain("Enter", { onControl: true }))).toBeUndefined();
  });

  test("a key without an action", () => {
    expect(actionOf(LAYOUT, plain("F5"))).toBeUndefined();
    expect(actionOf(LAYOUT, plain("Tab"))).toBeUndefined();
  });
});

describe("moving a key", () => {
  test("to a free one: the action is there and no longer where it was", () => {
    const moved = remap(LAYOUT, { is: "record" }, "KeyM");
    expect(keysOf(moved, { is: "record" })).toEqual(["KeyM"]);
    expect(codeOf(moved, { is: "record" })).toBe("KeyM");
    expect(actionOf(moved, plain("Enter"))).toBeUndefined();
    expect(Object.keys(moved).length).toBe(Object.keys(LAYOUT).length);
  });

  test("to one that is taken: the two change places", () => {
    const moved = remap(LAYOUT, { is: "record" }, "KeyJ");
    expect(moved["KeyJ"]).toEqual({ is: "record" });
    expect(moved["Enter"]).toEqual({ is: "yes" });
  });

  test("to one of Stop's two: Stop still has two", () => {
    const moved = remap(LAYOUT, { is: "yes" }, "KeyH");
    expect(keysOf(moved, STOP).toSorted()).toEqual(["Escape", "KeyJ"]);
  });

  test("to the key that it has, or to Stop's own second one: nothing changes", () => {
    expect(remap(LAYOUT, { is: "record" }, "Enter")).toEqual(LAYOUT);
    expect(remap(LAYOUT, STOP, "KeyH")).toEqual(LAYOUT);
  });

  test("to a key that could never act by itself: nothing changes (Shift and Tab leave a field)", () => {
    for (const code of ["ShiftLeft", "ControlRight", "AltLeft", "MetaLeft", "CapsLock", ""])
      expect(remap(LAYOUT, { is: "record" }, code), code).toEqual(LAYOUT);
  });

  test("an action that had lost its key gets a free one back, and takes no other's only key", () => {
    const { KeyJ: _, ...lost } = LAYOUT;
    expect(remap(lost, { is: "yes" }, "Enter")).toEqual(lost);
    expect(keysOf(remap(lost, { is: "yes" }, "KeyM"), { is: "yes" })).toEqual(["KeyM"]);
    expect(keysOf(remap(lost, { is: "yes" }, "KeyH"), STOP)).toEqual(["Escape"]);
  });

  test("however often keys are moved, every action keeps as many keys as it had", () => {
    const codes = [...Object.keys(LAYOUT), "KeyM", "KeyU", "F9", "ArrowUp", "ShiftLeft"];
    const moves = fc.array(fc.tuple(fc.constantFrom(...ACTIONS), fc.constantFrom(...codes)), {
      minLength: 1,
      maxLength: 30,
    });
    let changed = 0;
    fc.assert(
      fc.property(moves, (list) => {
        let layout = LAYOUT;
        for (const [action, code] of list) {
          layout = remap(layout, action, code);
          if (code !== "ShiftLeft") expect(say(layout[code] ?? STOP)).toBe(say(action));
        }
        if (layout !== LAYOUT) changed += 1;
        for (const action of ACTIONS)
          expect(keysOf(layout, action).length, say(action)).toBe(action.is === "stop" ? 2 : 1);
      }),
      { seed: 20310109, numRuns: 300 },
    );
    expect(changed).toBeGreaterThan(250);
  });
});
