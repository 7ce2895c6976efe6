/** A program of ours in a process of its own, asked and answered over its channel. */
import { fork, type ChildProcess } from "node:child_process";
import { basename } from "node:path";

/** What a child is asked: a word and what belongs to it. */
interface Asked {
  readonly no: number;
  readonly word: string;
  readonly with: unknown;
}

type Answer =
  { readonly no: number; readonly answer: unknown } | { readonly no: number; readonly fault: string };

/** A child that answers words. */
export interface Child {
  readonly process: ChildProcess;
  /** Rejects when the child says why it could not, or ends first. */
  ask<T>(word: string, asked?: unknown): Promise<T>;
  /** Asks it to end, and waits until it has. */
  end(): Promise<void>;
}

/** Starts a program that Node can run: compiled, or bundled. */
export function startChild(file: string, ...nodeOptions: readonly string[]): Child {
  const name = basename(file);
  const child = fork(file, [], {
    execArgv: [...nodeOptions],
    stdio: ["ignore", "inherit", "inherit", "ipc"],
  });
  const waiting = new Map<number, { done: (answer: unknown) => void; failed: (why: Error) => void }>();
  let count = 0;
  const left = new Promise<void>((done) => child.once("exit", () => done()));
  child.on("message", (message) => {
    const answer = message as Answer;
    const asker = waiting.get(answer.no);
    waiting.delete(answer.no);
    if ("fault" in answer) asker?.failed(new Error(`${name}: ${answer.fault}`));
    else asker?.done(answer.answer);
  });
  void left.then(() => {
    for (const { failed } of waiting.values()) failed(new Error(`${name} ended before it answered`));
  });
  return {
    process: child,
    ask: <T>(word: string, asked?: unknown) =>
      new Promise<T>((done, failed) => {
        const no = (count += 1);
        waiting.set(no, { done: (answer) => done(answer as T), failed });
        child.send({ no, word, with: asked } satisfies Asked, (why) => why && failed(why));
      }),
    async end() {
      if (child.connected) child.disconnect();
      await left;
    },
  };
}

/** The child's side: answers each word by its name, and ends, after `leave`, when the parent lets go. */
export function answerParent(
  words: Readonly<Record<string, (asked: never) => unknown>>,
  leave: () => Promise<void> = async () => undefined,
): void {
  process.on("message", (message) => {
    const { no, word, with: asked } = message as Asked;
    Promise.resolve()
      .then(() => {
        const answer = words[word];
        if (answer === undefined) throw new Error(`"${word}" is not known here`);
        return answer(asked as never);
      })
      .then(
        (answer) => process.send?.({ no, answer } satisfies Answer),
        (why: unknown) =>
          process.send?.({
            no,
            fault: why instanceof Error ? (why.stack ?? why.message) : String(why),
          } satisfies Answer),
      );
  });
  process.once("disconnect", () => void leave().finally(() => process.exit()));
}

/** Processor time of this process so far (user and system), and what it holds, both as whole numbers of their unit. */
export interface Usage {
  readonly cpuMicros: number;
  readonly rssBytes: number;
  readonly heapBytes: number;
}

/** Collects what can be collected first if asked to; needs --expose-gc. */
export function usage(collect = false): Usage {
  if (collect) (globalThis as { gc?: () => void }).gc?.();
  const { user, system } = process.cpuUsage();
  const { rss, heapUsed } = process.memoryUsage();
  return { cpuMicros: user + system, rssBytes: rss, heapBytes: heapUsed };
}
