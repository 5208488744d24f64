// What the unit lead asks of the server. None of it is kept on the device: who
// may come in is what the server says now, not what it said yesterday.

import { post, request, type Reply } from "./request";

/** That somebody or something was shut out. */
export interface Ended {
  at: string;
  by: string;
  reason: string;
}

/** A device as the unit lead sees it. */
export interface OfficeDevice {
  id: string;
  name: string;
  shared: boolean;
  enrolled: string;
  /** Who made its code; empty: the server itself, when it was set up. */
  by: string;
  last_seen?: string;
  build?: string;
  forked?: boolean;
  revoked?: Ended;
}

/** How a person can sign in. */
export interface Account {
  person: string;
  pin: boolean;
  pin_issued?: string;
  passkeys: number;
  oidc: boolean;
  barred?: Ended;
  locked_until?: string;
}

/** One line of what happened at the doors. */
export interface OfficeEvent {
  seq: number;
  at: string;
  what: string;
  who?: string;
  device?: string;
  about?: string;
  detail?: string;
}

/** The ends of the chains of edits and of events. */
export interface Heads {
  seq: number;
  head: string;
  event_seq: number;
  event_head: string;
}

export interface Audit {
  events: OfficeEvent[];
  more: boolean;
  heads: Heads;
}

export interface NewCode {
  code: string;
  seconds: number;
}

const at = "/api/v1";

export const devices = () => request<{ devices: OfficeDevice[] }>(`${at}/devices`);
export const accounts = () => request<{ accounts: Account[] }>(`${at}/accounts`);

export const makeCode = (name: string, shared: boolean) => post<NewCode>(`${at}/devices/code`, { name, shared });
export const takeOutOfUse = (id: string, reason: string) => post<object>(`${at}/devices/${id}/revoke`, { reason });
export const issuePIN = (person: string) => post<{ pin: string }>(`${at}/accounts/${person}/pin`, {});
/** Takes somebody's passkeys and single sign-on away. */
export const takeProofs = (person: string) => post<object>(`${at}/accounts/${person}/proofs`, {});
export const bar = (person: string, barred: boolean, reason: string) => post<object>(`${at}/accounts/${person}/bar`, { barred, reason });

/** The events before the given one, newest first; all of the newest without one. */
export function audit(of: { before?: number; person: string; device: string }): Promise<Reply<Audit>> {
  const asked = new URLSearchParams({ limit: "50" });
  if (of.before) asked.set("before", String(of.before));
  if (of.person) asked.set("person", of.person);
  if (of.device) asked.set("device", of.device);
  return request<Audit>(`${at}/audit?${asked}`);
}

/** Where the whole record is downloaded from. */
export const auditFile = `${at}/audit.ndjson`;
