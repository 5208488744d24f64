/** A copy with one field changed; an empty or missing value takes the field away, as the card's form has it. */
export function withField<T extends object, K extends keyof T>(of: T, field: K, value: T[K] | undefined | ""): T {
  const { [field]: _, ...rest } = of;
  return (value === undefined || value === "" ? rest : { ...rest, [field]: value }) as T;
}
