import assert from "node:assert/strict";
import test from "node:test";
import { awayNow, idle, left, longestAway, mostTries, opened, stillOpen, trying, type Away } from "../app/local/tries";

const hour = 3_600_000;
const at = (hours: number) => Date.parse("2027-03-31T08:00:00Z") + hours * hour;
const time = (hours: number) => new Date(at(hours)).toISOString();

test("five wrong PINs with no server lock a person on the device, and the right one before that gives all tries back", () => {
  let k = { tries: 0, locked: false };
  const said: [left: number, locked: boolean][] = [];
  for (let i = 0; i < mostTries; i++) said.push([left((k = trying(k))), k.locked]);
  assert.deepEqual(said, [[4, false], [3, false], [2, false], [1, false], [0, true]]);
  assert.equal(trying(k).locked, true, "a locked one stays locked");
  assert.deepEqual(opened(trying(trying({ tries: 0, locked: false }))), { tries: 0, locked: false });
});

test("the time away counts from the last contact, and a clock that was put back takes nothing from it", () => {
  const contact = time(0);
  const walk = (...clocks: number[]) => clocks.reduce<Away | undefined>((known, hours) => awayNow(known, contact, at(hours)), undefined)!.seen / hour;
  assert.equal(walk(71), 71);
  assert.equal(walk(72), 72);
  assert.equal(walk(80, 1), 80, "put back after three days");
  assert.equal(walk(80, -100_000), 80);
  assert.equal(walk(-100_000), 0, "a clock that was wrong all the time says nothing");
  assert.equal(longestAway, 72 * hour);
});

test("a contact begins the time away anew, and without any there is none to count from", () => {
  const long = awayNow(undefined, time(0), at(100));
  assert.equal(awayNow(long, time(101), at(102)).seen, hour);
  assert.equal(awayNow(undefined, null, at(0)).seen, Infinity);
});

test("a key on somebody's own device stays open for twelve hours, and never because a clock was put back", () => {
  const cases: [why: string, opened: number, now: number, want: boolean][] = [
    ["at once", 0, 0, true], ["after a shift", 0, 11.9, true], ["the next morning", 0, 12, false], ["opened in the future", 1, 0, false],
  ];
  for (const [why, since, now, want] of cases) assert.equal(stillOpen(time(since), at(now)), want, why);
});

test("a shared device locks after five minutes by either of its clocks", () => {
  const minute = 60_000;
  const cases: [why: string, wall: number, page: number, want: boolean][] = [
    ["somebody is there", 4, 4, false],
    ["five minutes", 5, 5, true],
    ["it slept, and the page's clock stood still", 60, 0, true],
    ["its clock was put back meanwhile", -30, 5, true],
    ["its clock was put back just now", -30, 0, true],
    ["its clock was set right by some seconds", -0.5, 1, false],
  ];
  for (const [why, wall, page, want] of cases) {
    assert.equal(idle({ wall: at(0), page: 0 }, { wall: at(0) + wall * minute, page: page * minute }), want, why);
  }
});
