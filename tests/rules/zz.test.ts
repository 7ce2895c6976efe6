import { readFileSync } from "node:fs";
import { test } from "vitest";
import { parseAllDocuments, stringify } from "yaml";
import { compile } from "../../rules/award/compile.ts";
import { scoreBout } from "../../rules/award/score.ts";
import { readRuleSet } from "../../rules/language/read.ts";
import { readSheet } from "../../rules/language/sheet.ts";
test("x", () => {
  for (const d of parseAllDocuments(readFileSync("tests/golden/cases.yaml", "utf8"))) {
    const { sheets, ...rs } = d.toJS() as any;
    const r = readRuleSet(stringify(rs)); if (!r.ok) throw new Error("x");
    for (const s of sheets) {
      const sh = readSheet(s.bout, r.value); if (!sh.ok) throw new Error();
      const t = scoreBout(compile(r.value), sh.value);
      if (t.open) console.log(rs.name + "\n" + s.bout.trim() + ("\n   open " + t.open + " " + t.questions.map(q=>JSON.stringify([q.text, q.answers.map(a=>a.label+JSON.stringify(a.facts)), q.stake.map(s=>`${s.to} ${s.rule} ${s.span.least}..${s.span.most} ${s.unit}`)])).join("\n    ") ));
    }
  }
});
