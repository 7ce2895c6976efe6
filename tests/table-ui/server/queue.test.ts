import { expect, test } from "vitest";
import { openQueues } from "../../../table-ui/server/queue.ts";

const later = (): Promise<void> => new Promise((done) => setImmediate(done));

test("works of one stream run one after the other, in the order in which they came", async () => {
  const queues = openQueues();
  const said: string[] = [];
  const work = (name: string) => async () => {
    said.push(`${name} begins`);
    await later();
    said.push(`${name} ends`);
  };
  await Promise.all([queues.run("bout/1", work("a")), queues.run("bout/1", work("b"))]);
  expect(said).toEqual(["a begins", "a ends", "b begins", "b ends"]);
});

test("streams do not wait for each other", async () => {
  const queues = openQueues();
  let release: (() => void) | undefined;
  const held = queues.run("bout/1", () => new Promise<void>((done) => (release = done)));
  await expect(queues.run("bout/2", async () => "done")).resolves.toBe("done");
  release?.();
  await held;
});

test("a failure is its own caller's: whoever waits behind goes on", async () => {
  const queues = openQueues();
  const failing = queues.run("meet", async () => {
    throw new Error("no");
  });
  const next = queues.run("meet", async () => 2);
  await expect(failing).rejects.toThrow("no");
  await expect(next).resolves.toBe(2);
});

test("idle waits for everything, what is added meanwhile included", async () => {
  const queues = openQueues();
  const done: string[] = [];
  void queues.run("meet", async () => {
    await later();
    void queues.run("bout/1", async () => {
      await later();
      done.push("inner");
    });
    done.push("outer");
  });
  await queues.idle();
  expect(done).toEqual(["outer", "inner"]);
});
