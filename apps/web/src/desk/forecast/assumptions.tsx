import { Card } from '../../kit/kit.ts';

/** What an answer rests on, in sentences. */
export function Assumptions({ lines }: { lines: readonly string[] }) {
  return (
    <Card title="What this rests on">
      <ul>
        {lines.map((line) => (
          <li key={line}>{line}</li>
        ))}
      </ul>
    </Card>
  );
}
