// One request to the API, with every way it can fail told apart.

import { pageBuild } from "./build";
import type { Refusal } from "./protocol";

export type Reply<T> =
  | { kind: "answer"; value: T }
  | { kind: "wait"; status: number; seconds: number; text: string } // 429 or 503: the server asks for a pause
  | { kind: "refused"; status: number; refusal: Refusal } // this request brings no other answer
  | { kind: "lost" }; // no answer, or not the server's

const limit = 30_000;

export async function request<T>(path: string, init: RequestInit = {}, is: Is<T> = speaks): Promise<Reply<T>> {
  let response: Response;
  let value: unknown;
  try {
    response = await fetch(path, { cache: "no-store", signal: AbortSignal.timeout(limit), ...init, headers: { ...pageBuild(), ...init.headers } });
    value = await response.json();
  } catch {
    return { kind: "lost" };
  }
  return judge<T>(response.status, response.headers.get("Retry-After"), value, is);
}

/** A request that changes something; the headers are the server's proof that it came from its own page. */
export function post<T>(path: string, body: unknown, is?: Is<T>, patience = limit): Promise<Reply<T>> {
  const headers = { "Content-Type": "application/json", "Sideport-Request": "1" };
  return request<T>(path, { method: "POST", headers, body: JSON.stringify(body), signal: AbortSignal.timeout(patience) }, is);
}

/** Whether a value is the answer that was asked for: another machine may answer 200 to everything. */
type Is<T> = (value: Partial<T> | null) => boolean;

const speaks: Is<any> = (value) => value?.protocol === 1;

/** What an answer means. */
export function judge<T>(status: number, retryAfter: string | null, value: unknown, is: Is<T> = speaks): Reply<T> {
  if (status === 200) return is(value as Partial<T> | null) ? { kind: "answer", value: value as T } : { kind: "lost" };
  const refusal = value as Refusal | null;
  if (typeof refusal?.code !== "string" || typeof refusal.text !== "string") return { kind: "lost" };
  if (status === 429 || status === 503) return { kind: "wait", status, seconds: pause(retryAfter), text: refusal.text };
  // Also where the server made a mistake over this very request: one edit it stumbles over must not hold up all others.
  return { kind: "refused", status, refusal };
}

const shortest = 5;
const longest = 300;

// Seconds as a number; a date or nonsense gives the shortest pause.
function pause(retryAfter: string | null): number {
  const seconds = Number(retryAfter ?? shortest);
  return Number.isFinite(seconds) ? Math.min(Math.max(seconds, shortest), longest) : shortest;
}
