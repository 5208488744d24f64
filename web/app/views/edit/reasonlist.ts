// Which reasons are offered. Pure.

const most = 3;

/** The own list with a reason put first. */
export function withReason(list: readonly string[], reason: string): string[] {
  return [reason, ...list.filter((r) => r !== reason)].slice(0, most);
}

/** The own ones, then those that are everybody's, none twice. */
export function offeredReasons(own: readonly string[], everybodys: readonly string[]): string[] {
  return [...new Set([...own, ...everybodys])];
}
