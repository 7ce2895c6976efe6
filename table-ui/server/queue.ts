/** One line of waiting for each stream: commands of one stream run one after the other, streams beside each other. */
export interface Queues {
  /** Runs `work` after everything that was put before it under the same key; settles as the work does. */
  run<T>(key: string, work: () => Promise<T>): Promise<T>;
  /** Resolves when nothing waits and nothing runs. */
  idle(): Promise<void>;
}

export function openQueues(): Queues {
  const tails = new Map<string, Promise<unknown>>();
  return {
    run<T>(key: string, work: () => Promise<T>): Promise<T> {
      const before = tails.get(key) ?? Promise.resolve();
      // A failure is its own caller's; whoever waits behind goes on.
      const mine = before.then(work, work);
      const tail = mine.then(
        () => undefined,
        () => undefined,
      );
      tails.set(key, tail);
      void tail.then(() => {
        if (tails.get(key) === tail) tails.delete(key);
      });
      return mine;
    },
    async idle() {
      while (tails.size > 0) await Promise.all(tails.values());
    },
  };
}
