// The little of Node that the unit tests use, so that no package of types is needed.
declare module "node:test" {
  export default function test(name: string, body: () => void | Promise<void>): void;
}
declare module "node:assert/strict" {
  const assert: {
    equal(got: unknown, want: unknown, message?: string): void;
    deepEqual(got: unknown, want: unknown, message?: string): void;
    notEqual(got: unknown, want: unknown, message?: string): void;
    ok(value: unknown, message?: string): void;
rejects(work: Promise<unknown>, wrong: RegExp | ((error: unknown) => boolean)): Promise<void>;
    fail(message?: string): never;
    throws(act: () => unknown, expected: Function | ((error: unknown) => boolean), message?: string): void;
  };
  export default assert;
}
