/** What was read, or an error where it took longer: some networks answer nothing, neither yes nor no. */
export function inTime<T>(reading: Promise<T>, millis: number): Promise<T> {
  return new Promise((resolve, reject) => {
    const late = setTimeout(() => reject(new Error(`it was not there after ${millis} ms`)), millis);
    reading.then(resolve, reject).finally(() => clearTimeout(late));
  });
}
