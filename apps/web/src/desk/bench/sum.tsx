import type { ReactNode } from 'react';
import { Card, Figures, Notice } from '../../kit/kit.ts';

/** A sum's answer or why it has none; null while an input is missing. */
export function attempt<T>(work: () => T): { value: T } | { message: string } {
  try {
    return { value: work() };
  } catch (error) {
    if (error instanceof RangeError) return { message: error.message };
    throw error;
  }
}

/** One sum: its inputs, its result as figures, its source. */
export function Sum<T>({
  title,
  inputs,
  result,
  source,
  children,
}: {
  title: string;
  inputs: ReactNode;
  result: { value: T } | { message: string } | null;
  source: string;
  children: (value: T) => ReactNode;
}) {
  return (
    <Card title={title}>
      <div className="stack">
        <div className="grid">{inputs}</div>
        <div role="status">
          {result === null ? (
            <p className="soft">Fill in the fields above.</p>
          ) : 'message' in result ? (
            <Notice tone="bad">{result.message}</Notice>
          ) : (
            <Figures>{children(result.value)}</Figures>
          )}
        </div>
        <p className="soft small">Source: {source}</p>
      </div>
    </Card>
  );
}

export const OIML =
  'OIML R 22 general formula for the density of ethanol and water; litres and strength at 20 °C from masses.';
