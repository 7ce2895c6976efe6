/** Marks: that what changes them fits what they are, and that nothing reads in a circle. */
import type { Checking } from "./checking.ts";
import * as say from "./faults-check.ts";
import type { Change, Mark } from "./tree.ts";
import { visit } from "./walk.ts";

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
    if (first !== undefined && does.what !== first)
      envelope.fault(say.remembersTwo(mark.name, first, does.what), envelope.placeOf(change, mark));
    first ??= does.what;
  }
}

/** [P10] No "now" reads a mark that payments change: it would allow a circle within one exchange. */
function checkNow({ ruleSet, envelope }: Checking): void {
  const paid = new Map<string, string>();
  for (const mark of ruleSet.marks)
    for (const { when } of mark.changes) {
      if (when.is === "every") continue;
      for (const condition of when.all)
        if (condition.is === "rule pays" && condition.last !== true) paid.set(mark.name, condition.rule);
    }
  if (paid.size === 0) return;
  visit(ruleSet, {
    condition(condition, holder) {
      if (condition.is !== "mark" && condition.is !== "flag") return;
      const rule = condition.now === true ? paid.get(condition.mark) : undefined;
      if (rule !== undefined)
        envelope.fault(say.nowOfPaid(condition.mark, rule), envelope.placeOf(condition, holder));
    },
  });
  for (const rule of ruleSet.rules)
    for (const pay of rule.pays ?? []) {
      const by = pay.times?.now === true ? paid.get(pay.times.mark) : undefined;
      if (pay.times && by !== undefined)
        envelope.fault(say.nowOfPaid(pay.times.mark, by), envelope.placeOf(pay, rule));
    }
}
