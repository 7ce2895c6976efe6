/** Rule sets: read back in plain words, written with their faults under their lines, tried before the evening. */
import { createMemo, createSignal, For, Show, type JSX } from "solid-js";
import {
  compile,
  explain,
  hashRuleSet,
  pressPlan,
  readRuleSet,
  readSheet,
  scoreBout,
  SETS,
  unsupported,
  type Outcome,
  type RuleSet,
} from "../../../rules/index.ts";
import type { CoachView } from "../../wire/views.ts";
import { markOf } from "../paint/marks.ts";
import { knotTag, payTag } from "../paint/parts.ts";
import type { CoachHall } from "./hall.ts";
import { NextWords } from "./next-words.tsx";
import { typicalExchanges } from "./typical.ts";

interface Props {
  readonly hall: CoachHall;
  readonly view: CoachView;
}

const NEW = `name: My theme
weapon: longsword
phrases:
  cue: they strike to the head
  attempt: they strike to the head, then I parry
  success: they strike to the head, then I parry, then I riposte and hit
bout:
  ends:
    - after 10 exchanges
touches:
  I hit the head: 3
  I hit the torso: 2
  I hit the arm or leg: 1
rules:
  - name: Parry, then riposte
    when: I make the success
    pays: 2 bonus to me
    watch: judge 1
`;

/** The set in words, its pay in the margin. */
function ReadBack(props: { readonly ruleSet: RuleSet }): JSX.Element {
  const told = createMemo(() => explain(props.ruleSet));
  return (
    <div class="read-back">
      <p class="voice">{told().bout.join(" ")}</p>
      <p class="voice">{told().touches.join(" ")}</p>
      <ul>
        <For each={told().rules}>
          {(rule) => (
            <li>
              <span class="margin">
                <For each={rule.pays.slice(0, 1)}>{(pay) => <span innerHTML={payTag(pay, 36).markup} />}</For>
              </span>
              <span>
                <b>{rule.name}.</b> {rule.sentence}
              </span>
            </li>
          )}
        </For>
      </ul>
      <Show when={told().watch.length > 0}>
        <h3>Who watches</h3>
        <ul class="plain-list">
          <For each={told().watch}>{(line) => <li>{line}</li>}</For>
        </ul>
      </Show>
      <Show when={told().warnings.length > 0}>
        <h3>Mind</h3>
        <ul class="plain-list">
          <For each={told().warnings}>{(line) => <li>{line}</li>}</For>
        </ul>
      </Show>
    </div>
  );
}

/** Typical exchanges under this rule set, scored as the table would. */
function TryIt(props: { readonly ruleSet: RuleSet }): JSX.Element {
  const tried = createMemo(() => {
    const scorer = compile(props.ruleSet);
    const plan = pressPlan(scorer);
    return typicalExchanges(plan).flatMap(({ words, sheet }) => {
      const read = readSheet(sheet, props.ruleSet);
      if (!read.ok) return [];
      const [exchange] = scoreBout(scorer, read.value).exchanges;
      if (exchange === undefined) return [];
      const awards = [
        ...exchange.awards,
        ...exchange.open.map((open) => ({
          ...open,
          amount: 0,
          open: open.span.most,
          sentence: `${open.rule}: open.`,
        })),
      ];
      return [
        { words, exchange, mark: markOf({ id: words, awards, ...(exchange.how && { how: exchange.how }) }) },
      ];
    });
  });
  return (
    <section class="try" aria-label="Typical exchanges">
      <For each={tried()}>
        {({ words, exchange, mark }) => (
          <div>
            <span innerHTML={knotTag(mark, 84, 128, 8.4).markup} />
            <p>
              {words}{" "}
              <b>
                {exchange.awards.length === 0
                  ? "Nothing."
                  : exchange.awards.map((award) => award.sentence).join(" ")}
              </b>
            </p>
          </div>
        )}
      </For>
    </section>
  );
}

function Faults(props: {
  readonly outcome: Outcome<RuleSet>;
  readonly onGo: (line: number, column: number) => void;
}): JSX.Element {
  const faults = () => (props.outcome.ok ? props.outcome.warnings : props.outcome.faults);
  return (
    <ol class="faults">
      <For each={faults()}>
        {(fault) => (
          <li classList={{ warning: fault.severity === "warning" }}>
            <button type="button" class="row-key" onClick={() => props.onGo(fault.line, fault.column)}>
              <span class="tab">
                line {fault.line}, column {fault.column}
              </span>
              <pre>
                {fault.source}
                {"\n"}
                {" ".repeat(Math.max(0, fault.column - 1))}^
              </pre>
              <span>{fault.message}</span>
            </button>
          </li>
        )}
      </For>
    </ol>
  );
}

function Writer(
  props: Props & { readonly text: string; readonly onText: (text: string) => void },
): JSX.Element {
  let field: HTMLTextAreaElement | undefined;
  const [saved, setSaved] = createSignal("");
  const [caret, setCaret] = createSignal(0);
  const follow = (): void => {
    if (field) setCaret(field.selectionStart);
  };
  const outcome = createMemo(() => readRuleSet(props.text, "rule set"));
  /** What the language says but scoring cannot do yet; such a rule set is never put on the shelf. */
  const beyond = createMemo(() => {
    const read = outcome();
    return read.ok ? unsupported(read.value) : [];
  });
  const ruleSet = () => {
    const read = outcome();
    return read.ok && beyond().length === 0 ? read.value : undefined;
  };
  const counts = () => {
    const read = outcome();
    if (read.ok)
      return read.warnings.length === 0 ? "In order." : `In order; ${read.warnings.length} to mind.`;
    return read.faults.length === 1 ? "1 thing to mend." : `${read.faults.length} things to mend.`;
  };
  const go = (line: number, column: number): void => {
    const at =
      props.text
        .split("\n")
        .slice(0, line - 1)
        .join("\n").length +
      (line > 1 ? 1 : 0) +
      column -
      1;
    field?.focus();
    field?.setSelectionRange(at, at);
  };
  const save = async (): Promise<void> => {
    const answer = await props.hall.ask({ ask: "save rule set", text: props.text });
    setSaved(answer.ok ? "Saved: it is on the shelf for the next bout." : "");
  };
  return (
    <section class="writer">
      <div>
        <label class="field">
          The rule set as text
          <textarea
            ref={(element) => (field = element)}
            spellcheck={false}
            rows={Math.max(18, props.text.split("\n").length + 1)}
            value={props.text}
            onInput={(event) => {
              setSaved("");
              props.onText(event.currentTarget.value);
              follow();
            }}
            onClick={follow}
            onKeyUp={follow}
            onFocus={follow}
          />
        </label>
        <NextWords
          text={props.text}
          caret={caret()}
          onPut={(put) => {
            setSaved("");
            props.onText(put.text);
            field?.focus();
            field?.setSelectionRange(put.caret, put.caret);
            setCaret(put.caret);
          }}
        />
        <p class="keys">
          <button
            type="button"
            class="key main"
            disabled={ruleSet() === undefined}
            onClick={() => void save()}
          >
            <span>Save rule set</span>
          </button>
          <span role="status" class={ruleSet() === undefined ? "to-mend" : "muted"}>
            {saved() || counts()}
          </span>
        </p>
        <Faults outcome={outcome()} onGo={go} />
      </div>
      <div class="beside">
        <h2>Read back</h2>
        <Show when={ruleSet()} fallback={<p class="muted">Mend the faults and it is read back here.</p>}>
          {(read) => <ReadBack ruleSet={read()} />}
        </Show>
      </div>
      <Show when={ruleSet()}>
        {(read) => (
          <div class="foot">
            <h2>Try it</h2>
            <TryIt ruleSet={read()} />
          </div>
        )}
      </Show>
    </section>
  );
}

export function RuleSets(props: Props): JSX.Element {
  const shelf = () =>
    props.view.meet.shelf.map(
      ({ ruleSet, name }) => [name, props.view.ruleSets[ruleSet]?.text ?? ""] as const,
    );
  const ready = SETS.map(({ id, text }) => {
    const read = readRuleSet(text, id);
    return [read.ok ? read.value.name : id, text] as const;
  });
  const [text, setText] = createSignal(shelf().at(-1)?.[1] ?? NEW);
  const inUse = createMemo(() => {
    const read = readRuleSet(text());
    return read.ok && props.view.meet.shelf.some(({ ruleSet }) => ruleSet === hashRuleSet(read.value));
  });
  const entry = ([name, source]: readonly [string, string]): JSX.Element => (
    <li>
      <button
        type="button"
        class="small-key"
        aria-pressed={text() === source}
        onClick={() => setText(source)}
      >
        {name}
      </button>
    </li>
  );
  return (
    <main class="rules">
      <aside>
        <h2>Tonight's shelf</h2>
        <ul>
          <For each={shelf()}>{entry}</For>
        </ul>
        <h2>Ready to use</h2>
        <ul>
          <For each={ready}>{entry}</For>
          {entry(["An empty one", NEW])}
        </ul>
      </aside>
      <div>
        <Show when={inUse()}>
          <p class="muted">This rule set is in use. Running bouts keep the text they began with.</p>
        </Show>
        <Writer {...props} text={text()} onText={setText} />
      </div>
    </main>
  );
}
