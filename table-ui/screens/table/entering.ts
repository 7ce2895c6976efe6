/** What the table is entering just now: presses, the line that Enter would record, and what it would pay. */
import { createMemo, createSignal, type Accessor } from "solid-js";
import { nanoid } from "nanoid";
import { clockAt, sheetOf, type RecordedExchange } from "../../../engine/index.ts";
import {
  chips,
  draftLine,
  draftStart,
  isReady,
  press,
  pressPlan,
  sayAloud,
  scoreBout,
  type BoutSheet,
  type Chip,
  type ExchangeLine,
  type PressPlan,
  type ScoredExchange,
} from "../../../rules/index.ts";
import { markOf, type Mark } from "../paint/marks.ts";
import type { AwardOnView } from "../../wire/views.ts";
import type { Station } from "./station.ts";

/** A new exchange, one that is put right, or one that had been forgotten. */
export type Target =
  | { readonly is: "new" }
  | { readonly is: "change"; readonly exchange: string; readonly no: number }
  | { readonly is: "insert"; readonly after: string; readonly no: number };

export interface Entering {
  readonly target: Accessor<Target>;
  readonly aim: (target: Target) => void;
  readonly plan: Accessor<PressPlan | undefined>;
  readonly presses: Accessor<readonly string[]>;
  readonly chips: Accessor<readonly Chip[]>;
  readonly ready: Accessor<boolean>;
  readonly no: Accessor<number>;
  /** The draft as the thread shows it; undefined while nothing is pressed. */
  readonly mark: Accessor<Mark | undefined>;
  /** To say aloud: of the draft, or of the latest exchange. */
  readonly say: Accessor<string>;
  press(id: string): void;
  clear(): void;
  record(): void;
}

const onView = (exchange: ScoredExchange): readonly AwardOnView[] => [
  ...exchange.awards.map(({ to, unit, amount, rule, sentence }) => ({ to, unit, amount, rule, sentence })),
  ...exchange.open.map(({ to, unit, rule, span }) => ({
    to,
    unit,
    rule,
    amount: 0,
    open: span.most,
    sentence: "",
  })),
];

/** The sheet up to the exchange that is being entered. */
function before(sheet: BoutSheet, no: number): BoutSheet {
  const at = sheet.findIndex((line) => line.type === "exchange" && line.no >= no);
  return at < 0 ? sheet.filter((line) => line.type !== "end") : sheet.slice(0, at);
}

export function createEntering(station: Station): Entering {
  const [target, setTarget] = createSignal<Target>({ is: "new" });
  const [presses, setPresses] = createSignal<readonly string[]>([]);
  const scorer = createMemo(() => station.rules()?.scorer);
  const plan = createMemo(() => {
    const known = scorer();
    return known === undefined ? undefined : pressPlan(known);
  });
  const no = createMemo(() => {
    const aim = target();
    return aim.is === "new" ? (station.bout()?.exchanges.length ?? 0) + 1 : aim.no;
  });
  const sheet = createMemo(() => {
    const bout = station.bout();
    return bout === undefined ? [] : before(sheetOf(bout), no());
  });
  /** Seconds at the halt; a forgotten exchange has none. */
  const left = (): number | undefined => {
    const bout = station.bout();
    if (bout === undefined || target().is !== "new" || bout.clock.counts !== "down") return undefined;
    return Math.ceil(clockAt(bout.clock, station.now()) / 1000);
  };
  const draft = createMemo(() => {
    const known = plan();
    if (known === undefined) return undefined;
    return presses().reduce(press, draftStart(known, sheet(), left()));
  });
  const line = createMemo((): ExchangeLine | undefined => {
    const now = draft();
    return now === undefined || presses().length === 0 ? undefined : draftLine(now, no(), now.left);
  });
  const tally = createMemo(() => {
    const now = line();
    const by = scorer();
    return now === undefined || by === undefined ? undefined : scoreBout(by, [...sheet(), now]);
  });
  const scored = () => tally()?.exchanges.find((exchange) => exchange.no === no());

  const saidLast = (): string => {
    const bout = station.bout();
    if (bout === undefined) return "";
    const last = sheetOf(bout).findLast((each): each is ExchangeLine => each.type === "exchange");
    return last === undefined ? "" : sayAloud(last, bout.tally);
  };

  return {
    target,
    aim: (next) => {
      setPresses([]);
      setTarget(next);
    },
    plan,
    presses,
    chips: () => {
      const now = draft();
      return now === undefined ? [] : chips(now).filter((chip) => chip.state !== "hidden");
    },
    ready: () => {
      const now = draft();
      return now !== undefined && isReady(now);
    },
    no,
    mark: () => {
      const exchange = scored();
      const now = line();
      if (exchange === undefined || now === undefined) return undefined;
      return markOf({ id: "draft", awards: onView(exchange), ...(now.how && { how: now.how }) }, true);
    },
    say: () => {
      const now = line();
      const sum = tally();
      return now !== undefined && sum !== undefined ? sayAloud(now, sum) : saidLast();
    },
    press(id) {
      const now = draft();
      if (now !== undefined) setPresses(press(now, id).presses);
    },
    clear: () => setPresses([]),
    record() {
      const now = draft();
      const aim = target();
      if (now === undefined || !isReady(now)) return;
      const { type: _type, no: _no, id: _id, again: _again, ...written } = draftLine(now, no(), left());
      const exchange = aim.is === "change" ? aim.exchange : nanoid(10);
      const record: RecordedExchange = {
        ...written,
        // A correction may rename nothing that a judge's vote points at, hence ids that no earlier line used.
        acts: written.acts.map((act, i) => ({ ...act, id: act.id ?? `${nanoid(6)}${i}`, source: "table" })),
      };
      const given =
        aim.is === "change"
          ? station.give({ type: "ChangeExchange", exchange, record })
          : aim.is === "insert"
            ? station.give({ type: "InsertExchange", exchange, after: aim.after, record })
            : station.give({ type: "RecordExchange", exchange, record });
      if (!given) return;
      setPresses([]);
      setTarget({ is: "new" });
    },
  };
}
