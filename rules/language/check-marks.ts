/** Marks: that what changes them fits what they are, and that nothing reads in a circle. */
import type { Checking } from "./checking.ts";
import type { Message } from "./faults.ts";
import * as say from "./faults-check.ts";
import { nowOfScore } from "./faults-condition.ts";
import type { Change, Mark } from "./tree.ts";
import { marksOf, marksRead, ofThisExchange, visit } from "./walk.ts";

export function checkMarks(checking: Checking): void {
  for (const mark of checking.ruleSet.marks) {
    checkStart(checking, mark);
    for (const change of mark.changes) checkChange(checking, mark, change);
    checkMemory(checking, mark);
  }
  checkNow(checking);
}

const DEEDS: Readonly<Record<Mark["is"], { readonly may: readonly string[]; readonly write: string }>> = {
  count: { may: ["up", "down", "to"], write: `"up 1 when ...", "down 1 when ..." or "to 0 when ..."` },
  flag: { may: ["on", "off"], write: `"on when ..." or "off when ..."` },
  set: { may: ["gains"], write: `"gains the target when ..."` },
  note: { may: ["becomes"], write: `"becomes the target when ..."` },
  token: { may: ["passes", "changes hands"], write: `"passes to me when ..." or "changes hands when ..."` },
  roles: { may: ["passes", "changes hands"], write: `"passes to me when ..." or "changes hands when ..."` },
};

function checkChange({ envelope }: Checking, mark: Mark, change: Change): void {
  const { may, write } = DEEDS[mark.is];
  if (!may.includes(change.does.is))
    envelope.fault(
      say.changeOfKind(change.does.is, mark.name, mark.is, write),
      envelope.placeOf(change, mark),
    );
}

const STARTS: Readonly<Record<Mark["is"], { readonly key: string; readonly write: string }>> = {
  count: { key: "at", write: `"at 3"` },
  flag: { key: "on", write: `"on" or "off"` },
  set: { key: "", write: "empty" },
  note: { key: "", write: "empty" },
  token: { key: "with", write: `"with red", "with the last loser" or "with nobody"` },
  roles: { key: "with", write: `"with red", "with the last loser" or "with nobody"` },
};

function checkStart({ envelope }: Checking, mark: Mark): void {
  const { starts } = mark;
  if (starts === undefined) return;
  const { key, write } = STARTS[mark.is];
  if (!(key in starts))
    envelope.fault(say.startOfKind(mark.name, mark.is, write), envelope.placeOf(starts, mark));
}

/** A note or a set holds one kind of thing. */
function checkMemory({ envelope }: Checking, mark: Mark): void {
  let first: string | undefined;
  for (const change of mark.changes) {
    const { does } = change;
    if (does.is !== "gains" && does.is !== "becomes") continue;
    // The partner is a fencer too.
    const what = does.what === "partner" ? "fencer" : does.what;
    if (first !== undefined && what !== first)
      envelope.fault(say.remembersTwo(mark.name, first, what), envelope.placeOf(change, mark));
    first ??= what;
  }
}

/** [P10] No "now" reads a mark that payments change: it would allow a circle within one exchange. */
function checkNow({ ruleSet, envelope }: Checking): void {
  const paid = new Map<string, Message>();
  for (const mark of ruleSet.marks)
    for (const { when } of mark.changes) {
      if (when.is === "every") continue;
      for (const condition of when.all.flatMap(ofThisExchange))
        if (condition.is === "rule pays" && condition.last !== true)
          paid.set(mark.name, say.nowOfPaid(mark.name, condition.rule));
        else if (condition.is === "outcome" && condition.what === "score")
          paid.set(mark.name, nowOfScore(mark.name));
    }
  if (paid.size === 0) return;
  visit(ruleSet, {
    condition(condition, holder) {
      if (!("now" in condition) || condition.now !== true) return;
      for (const mark of marksRead(condition)) {
        const message = paid.get(mark);
        if (message !== undefined) envelope.fault(message, envelope.placeOf(condition, holder));
      }
    },
  });
  for (const rule of ruleSet.rules)
    for (const pay of rule.pays ?? []) {
      for (const mark of pay.times?.now === true ? marksOf(pay.times.quantity) : []) {
        const message = paid.get(mark);
        if (message !== undefined) envelope.fault(message, envelope.placeOf(pay, rule));
      }
    }
}
