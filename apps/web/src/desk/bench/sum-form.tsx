import { useState } from 'react';
import { Card, Figure, Figures, Notice, NumberField } from '../../kit/kit.ts';
import type { BenchSum } from './bench-sum.ts';

/** A declared sum: its inputs, its figures as they come out, its source. */
export function SumForm({ sum }: { sum: BenchSum }) {
  const [values, setValues] = useState<Readonly<Record<string, number | null>>>({});
  const answer = sum.answer(values);
  return (
    <Card title={sum.label}>
      <div className="stack">
        <div className="grid">
          {Object.entries(sum.inputs).map(([key, { label, unit, hint }]) => (
            <NumberField
              key={key}
              label={label}
              unit={unit}
              {...(hint === undefined ? {} : { hint })}
              value={values[key] ?? null}
              onChange={(value) => {
                setValues((before) => ({ ...before, [key]: value }));
              }}
            />
          ))}
        </div>
        <div role="status">
          {answer === null ? (
            <p className="soft">Fill in the fields above.</p>
          ) : 'message' in answer ? (
            <Notice tone="bad">{answer.message}</Notice>
          ) : (
            <Figures>
              {answer.figures.map(({ label, value, unit, decimals, u, note }, i) => (
                <Figure
                  key={label}
                  large={i === 0}
                  label={label}
                  value={value}
                  unit={unit}
                  {...(decimals === undefined ? {} : { decimals })}
                  plusMinus={u}
                  note={note}
                  origin="calculated"
                />
              ))}
            </Figures>
          )}
        </div>
        <p className="soft small">Source: {sum.source}.</p>
      </div>
    </Card>
  );
}
