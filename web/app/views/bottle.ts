// Bottle height and pressure beside each other, for whoever knows one and reads the other. Pure. The working with its
// cautions is the core's ("pressure from height"); this much is here because Limits never wait for the core, and
// web/unit/bottle.test.ts holds it against the core's own table.

/** mmHg in 1 cmH2O: 98.0665 Pa / 133.322387415 Pa (NIST SP 811, appendix B.8). */
const mmHgInCm = 98.0665 / 133.322387415;

/** The static pressure of a bottle at this height, in whole mmHg, taking the fluid as water: "59" for "80" cm. */
export function pressureOfHeight(cm: string): string | null {
  return whole(Number(cm) * mmHgInCm);
}

/** The height at which a bottle has this static pressure, in whole cm. */
export function heightOfPressure(mmHg: string): string | null {
  return whole(Number(mmHg) / mmHgInCm);
}

/** Nothing but a plain number is converted: "70 to 80" stays what the surgeon wrote. */
function whole(n: number): string | null {
  return Number.isFinite(n) && n >= 0 ? String(Math.round(n)) : null;
}
