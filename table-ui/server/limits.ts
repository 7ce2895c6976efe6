/**
 * How much anybody may ask of the server. Every number is set by hand: what an honest hall needs, and some room.
 * Where no source is named, the number is our own measure of such a hall.
 */
export interface Limits {
  /** Milliseconds until a request's headers are there. Ours fit into one packet; bad Wi-Fi sends it a few times. */
  readonly headersMs: number;
  /** Milliseconds until a whole request is there. Nothing of ours has a body. */
  readonly requestMs: number;
  /** How often late requests are looked for, milliseconds. */
  readonly checkEveryMs: number;
  /** Milliseconds that a connection may stand without a byte in either direction. A page on its way moves bytes. */
  readonly silentMs: number;
  /** Milliseconds that a connection waits for its next request: the page's own files follow at once. */
  readonly keepAliveMs: number;
  /** Requests on one connection; a browser opens another one unasked. */
  readonly requestsAConnection: number;
  /** Bytes of a request's headers. Other programs of the same machine may have left cookies for its name. */
  readonly headerBytes: number;
  /** Header lines of a request; browsers send about twenty. */
  readonly headerLines: number;
  /** Bytes of a request's body: there is none that we take. */
  readonly bodyBytes: number;

  /** Connections at once, of all. Each costs a file descriptor and some tens of kilobytes. */
  readonly connections: number;
  /**
   * Connections at once from one address: a whole hall may stand behind one router, 300 people with a browser's six
   * connections each. An IPv6 network (/64) counts as one address, for a single machine has all of its addresses.
   */
  readonly connectionsAnAddress: number;
  /** Milliseconds until an open socket has said which seat it comes for. */
  readonly seatedMs: number;
  /** How often the server asks a socket whether it is there, milliseconds: a screen must notice a loss within seconds. */
  readonly pingEveryMs: number;
  /** Milliseconds until an answer to that; then the socket is closed, though no line told that it is gone. */
  readonly pingAnswerMs: number;
  /** Milliseconds that a socket which the server closes has for what is still on its way to it; then the line is cut. */
  readonly goodbyeMs: number;

  /** [W33] Secrets that open nothing, from one address in a burst, and how many more a second. */
  readonly guesses: number;
  readonly guessesASecond: number;
  /** Addresses that are remembered for it; the one that has been quiet longest is forgotten. */
  readonly guessers: number;

  /** [W20] Messages that one device may send in a burst, and how many it gains back a second. */
  readonly burst: number;
  readonly aSecond: number;
  /**
   * [W35] What one connection may send at all before it is cut, in messages and their like: whatever is read costs
   * something, though it is passed over. Far above what W20 answers, so that no honest device comes near.
   */
  readonly patience: number;
  readonly patienceASecond: number;
  /** Bytes that count as one more message. */
  readonly bytesAMessage: number;
  /**
   * [W36] Bytes that may wait for a device that does not read; then it is cut, and is sent a whole view when it is
   * back. One thing alone may be larger.
   */
  readonly waitingBytes: number;
}

export const LIMITS: Limits = {
  headersMs: 15_000,
  requestMs: 20_000,
  checkEveryMs: 5_000,
  silentMs: 60_000,
  keepAliveMs: 10_000,
  requestsAConnection: 1_000,
  headerBytes: 16_384,
  headerLines: 100,
  bodyBytes: 1_024,
  connections: 20_000,
  connectionsAnAddress: 2_000,
  seatedMs: 10_000,
  pingEveryMs: 6_000,
  pingAnswerMs: 6_000,
  goodbyeMs: 2_000,
  guesses: 100,
  guessesASecond: 1,
  guessers: 10_000,
  burst: 120,
  aSecond: 40,
  patience: 1_000,
  patienceASecond: 100,
  bytesAMessage: 16_000,
  waitingBytes: 1_000_000,
};

/** Whether a message may pass; a large one may cost as much as several. */
export type MayPass = (cost?: number) => boolean;

/** A bucket that holds `most` messages and gains `aSecond` back by the clock; false once it is empty. */
export function bucket(most: number, aSecond: number, now: () => number): MayPass {
  let left = most;
  let last = now();
  return (cost = 1) => {
    const at = now();
    // A clock that is set back gives nothing and takes nothing.
    left = Math.min(most, left + (Math.max(0, at - last) / 1_000) * aSecond);
    last = at;
    if (left < cost) return false;
    left -= cost;
    return true;
  };
}

/** "10.0.0.7" of "::ffff:10.0.0.7"; an IPv6 address's network, for a single machine has all addresses of a /64. */
export function addressGroup(address: string | undefined): string {
  if (address === undefined) return "";
  const mapped = /^::ffff:(\d{1,3}(?:\.\d{1,3}){3})$/i.exec(address)?.[1];
  if (mapped !== undefined) return mapped;
  if (!address.includes(":")) return address;
  const [plain = ""] = address.split("%");
  const [head = "", tail] = plain.split("::");
  const before = head === "" ? [] : head.split(":");
  const after = tail === undefined || tail === "" ? [] : tail.split(":");
  const zeros = tail === undefined ? 0 : 8 - before.length - after.length;
  const groups = [...before, ...Array.from({ length: zeros }, () => "0"), ...after];
  return `${groups.slice(0, 4).join(":")}::/64`;
}
