/** The table's state: the link, the outbox and the desk, as Solid signals. Everything that decides is in desk.ts. */
import { createEffect, createMemo, createSignal, on, type Accessor } from "solid-js";
import { nanoid } from "nanoid";
import {
  isRefusal,
  type Bout,
  type BoutCommand,
  type Refusal,
  type Side,
  type Source,
} from "../../../engine/index.ts";
import type { compile, Pick, RuleSet, Scorer } from "../../../rules/index.ts";
import { isForLater } from "../../wire/standing.ts";
import type { TableView } from "../../wire/views.ts";
import type { Late } from "../shared/late.ts";
import { openLink, secretIn, type LinkState } from "../shared/link.ts";
import {
  answered,
  asSent,
  dropSetAside,
  emptyDesk,
  give,
  giveAgain,
  nextToSend,
  receive,
  waiting,
  type Desk,
  type SetAside,
} from "./desk.ts";
import { openOutbox } from "./outbox.ts";
import { openPatience } from "./patience.ts";

export interface RuleSetInUse {
  readonly hash: string;
  readonly ruleSet: RuleSet;
  readonly scorer: Scorer;
}

export interface Station {
  readonly view: Accessor<TableView | undefined>;
  readonly link: Accessor<LinkState>;
  /** Server time since when the link is as it is. */
  readonly since: Accessor<number>;
  readonly bout: Accessor<Bout | undefined>;
  readonly rules: Accessor<RuleSetInUse | undefined>;
  readonly waiting: Accessor<number>;
  readonly setAside: Accessor<readonly SetAside[]>;
  readonly refused: Accessor<Refusal | undefined>;
  readonly holdsPen: Accessor<boolean>;
  readonly penElsewhere: Accessor<boolean>;
  now(): number;
  /** Applies and queues a command; false if it was refused (the sentence is shown). */
  give(command: BoutCommand): boolean;
  /** Draws a pick by chance: the server does where it can be reached, else this tablet, and it is recorded as drawn here. */
  draw(pick: Pick, side?: Side): void;
  takePen(): void;
  adopt(aside: SetAside): void;
  drop(aside: SetAside): void;
}

/** Drawn by this device alone: every value as likely as any other. */
function drawnHere({ from }: Pick): string | undefined {
  const size = from.length;
  if (size === 0) return undefined;
  const fair = 2 ** 32 - (2 ** 32 % size);
  for (;;) {
    const [number = 0] = crypto.getRandomValues(new Uint32Array(1));
    if (number < fair) return from[number % size]?.text;
  }
}

/** What scores: the largest part of the page, still on its way while the seat links. */
type Scoring = Late<{ readonly compile: typeof compile }>;

/** How often the server hears how many presses wait, milliseconds. */
const TELL_EVERY_MS = 2_000;

/**
 * Opens the link and the outbox of this table; bouts fold without a tally, and stay off the screen, until what scores has
 * arrived. Rejects if the browser refuses IndexedDB.
 */
export async function openStation(scoring: Scoring): Promise<Station> {
  const outbox = await openOutbox();
  const seatKey = secretIn(location.pathname).slice(0, 6);
  const [view, setView] = createSignal<TableView>();
  const [link, setLink] = createSignal<LinkState>("linking");
  const [since, setSince] = createSignal(0);
  const [desk, setDesk] = createSignal<Desk>({
    ...emptyDesk,
    pending: await outbox.load(seatKey),
    setAside: await outbox.loadSetAside(seatKey),
  });
  const [refused, setRefused] = createSignal<Refusal>();
  const inUse = new Map<string, RuleSetInUse>();
  /** [W39] The tree under a hash never changes, so each is compiled once; the server answers for both. */
  const rulesOf = (hash: string): RuleSetInUse | undefined => {
    const known = inUse.get(hash);
    const tree = view()?.ruleSetTrees?.[hash];
    const arrived = scoring.part();
    if (known !== undefined || tree === undefined || arrived === undefined) return known;
    const ruleSet = JSON.parse(tree) as RuleSet;
    const made = { hash, ruleSet, scorer: arrived.compile(ruleSet) };
    inUse.set(hash, made);
    return made;
  };
  const rules = createMemo(() => {
    const hash = desk().bout?.ruleSet;
    return hash === undefined ? undefined : rulesOf(hash);
  });
  let seq = Math.max(await outbox.nextSeq(), ...desk().pending.map((one) => one.seq));
  let sending = false;
  let wished = false;
  const patience = openPatience();

  const around = () => ({
    scorers: (hash: string) => rulesOf(hash)?.scorer,
    by: { seat: view()?.seat ?? "table", kind: "table" } satisfies Source,
  });
  const holdsPen = () => view()?.pen?.device === outbox.device;

  const takePen = (): void => {
    const ring = view()?.ring;
    if (ring !== undefined)
      void socket.command("meet", { type: "TakePen", ring, device: outbox.device }).then((answer) => {
        // Not refused for good: wished for again with the next news.
        wished = answer.ok || !isForLater(answer.refusal);
        setRefused(answer.ok ? undefined : answer.refusal);
      });
  };

  /** One command at a time keeps their order; the link repeats an unanswered one after every reconnect. */
  const pump = async (): Promise<void> => {
    if (sending || !holdsPen()) return;
    sending = true;
    for (let next = nextToSend(desk()); next !== undefined && holdsPen(); next = nextToSend(desk())) {
      const answer = await socket.send(asSent(next, view()?.pen?.epoch ?? 0));
      if (await patience.waits(answer, view()?.standing)) continue;
      // First shown as settled, then forgotten: a crash in between sends it again, and the server knows its id.
      setDesk(answered(desk(), answer, around()));
      if (answer.ok) await outbox.remove(next.id);
      else await outbox.setAside(seatKey, { pending: next, refusal: answer.refusal });
    }
    sending = false;
  };

  const socket = openLink<TableView>({
    view(next) {
      setView(next);
      patience.sees(next.standing);
      setDesk(receive(desk(), next, around()));
      // A ring without a pen is this table's; one that another device holds is taken over only when asked.
      if (next.pen === undefined && !wished) {
        wished = true;
        takePen();
      }
      void pump();
    },
    state(next, at) {
      setSince(at);
      setLink(next);
      if (next !== "linked") return;
      scoring.fetch();
      void pump();
    },
  });

  createEffect(
    on(scoring.part, (arrived) => {
      const known = view();
      if (arrived !== undefined && known !== undefined) setDesk(receive(desk(), known, around()));
    }),
  );

  /** What the server was told last; nothing yet on this line. */
  let told: number | undefined;
  // [W37] The coach sees what waits here.
  setInterval(() => {
    const count = waiting(desk());
    if (link() !== "linked") told = undefined;
    else if (count > 0 || told !== 0) {
      told = count;
      const first = nextToSend(desk())?.at;
      const oldest = first === undefined ? {} : { oldest: Math.max(0, socket.now() - first) };
      socket.tell({ waiting: count, ...oldest });
    }
  }, TELL_EVERY_MS);

  addEventListener("beforeunload", (leaving) => {
    if (link() !== "linked" && waiting(desk()) > 0) leaving.preventDefault();
  });

  const stamp = () => ({ id: nanoid(), seq: ++seq, at: socket.now() });
  const queue = (given: ReturnType<typeof give>): boolean => {
    if (isRefusal(given)) {
      setRefused(given);
      return false;
    }
    setRefused(undefined);
    setDesk(given.desk);
    void outbox.put(seatKey, given.queued).then(pump);
    return true;
  };

  const giveHere = (command: BoutCommand): boolean => queue(give(desk(), command, stamp(), around()));

  return {
    view,
    link,
    since,
    bout: () => desk().bout,
    rules,
    waiting: () => waiting(desk()),
    setAside: () => desk().setAside,
    refused,
    holdsPen,
    penElsewhere: () => view()?.pen !== undefined && !holdsPen(),
    now: () => socket.now(),
    give: giveHere,
    draw(pick, side) {
      const whose = side === undefined ? {} : { side };
      const { boutId } = desk();
      // The server draws on the bout as it knows it: nothing may wait here before it.
      const draws = link() === "linked" && view()?.standing === undefined;
      if (draws && waiting(desk()) === 0 && boutId !== undefined) {
        const pen = { epoch: view()?.pen?.epoch ?? 0, seq: ++seq };
        const command = { type: "DrawPick", pick: pick.name, ...whose } as const;
        const sent = { id: nanoid(), on: { bout: boutId }, pen, at: socket.now(), command };
        void socket.send(sent).then((answer) => setRefused(answer.ok ? undefined : answer.refusal));
        return;
      }
      const value = drawnHere(pick);
      if (value !== undefined)
        giveHere({ type: "SetPick", pick: pick.name, value, drawn: "on the tablet", ...whose });
    },
    takePen,
    adopt(aside) {
      if (queue(giveAgain(desk(), aside, stamp(), around()))) void outbox.remove(aside.pending.id);
    },
    drop(aside) {
      setDesk(dropSetAside(desk(), aside.pending.id));
      void outbox.remove(aside.pending.id);
    },
  };
}
