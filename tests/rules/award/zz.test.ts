import { test } from "vitest";
import { compile } from "../../../rules/award/compile.ts";
import { scoreBout } from "../../../rules/award/score.ts";
import { foldSheet } from "../../../rules/award/sheet-fold.ts";
import { forget } from "../../support/forget.ts";
import { randomBout, RULE_SETS, seeded } from "../../support/random-bouts.ts";
test("stat", () => {
  const scorers = RULE_SETS.map((r) => compile(r));
  for (const s of scorers) console.log(s.ruleSet.name, s.program.parts.length, s.program.tables.words);
  const stat: any = {};
  for (let seed = 1; seed <= 200; seed++) {
    const random = seeded(seed);
    const full = randomBout(random, 5);
    const s = random.pick(scorers);
    const less = forget(random, full, 1 + random.below(4));
    const f = foldSheet(s.program, less);
    const st = (stat[s.ruleSet.name] ??= { n: 0, lost: 0, worlds: 0, maxw: 0, ms: 0, qms: 0, settled: 0, open: 0, maxms: 0 });
    st.n++; if (f.lost) st.lost++; st.worlds += f.worlds.length; st.maxw = Math.max(st.maxw, f.worlds.length);
    let t0 = performance.now(); foldSheet(s.program, less); const d = performance.now() - t0; st.ms += d; st.maxms = Math.max(d, st.maxms);
    t0 = performance.now(); const t = scoreBout(s, less); st.qms += performance.now() - t0; st.settled += t.awards.length; st.open += t.open;
  }
  console.log(stat);
});
