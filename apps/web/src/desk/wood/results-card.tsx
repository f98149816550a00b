import './results.css';
import type { WoodContact } from '@rundlet/contracts';
import { Card, format, Table } from '../../kit/kit.ts';

type Result = WoodContact['results'][number];
type Fit = WoodContact['fits'][number];

const [WIDTH, HEIGHT, LEFT, FOOT] = [480, 240, 56, 34];

/** Results of one measure against the index on their day, with the line through them. */
export function ResultsCard({ results, fit }: { results: readonly Result[]; fit: Fit }) {
  const { line, unit } = fit;
  return (
    <Card title={`${fit.measure} against the index`}>
      <div className="stack">
        <Scatter results={results} fit={fit} />
        <p>
          {line
            ? `Line through ${format.count(fit.results, 'result')}: ${format.number(line.intercept, 2)} ${format.signed(line.slope, 2)} × index, ${unit}; results scatter about it by ${format.number(line.residualSd, 2)} ${unit} (share explained ${format.percent(line.r2, 0)}). It is shown only, and applied to nothing.`
            : 'With three results on different days a line is drawn through them.'}
        </p>
        <Table
          caption={`Results: ${fit.measure}`}
          rows={results}
          rowKey={(r) => r.id}
          columns={[
            { key: 'on', title: 'On', cell: (r) => format.date(r.on) },
            {
              key: 'kind',
              title: 'By',
              cell: (r) => (r.kind === 'laboratory' ? 'laboratory' : 'panel'),
            },
            {
              key: 'value',
              title: `Result, ${unit}`,
              numeric: true,
              cell: (r) => format.number(r.value, 2),
            },
            {
              key: 'index',
              title: 'Index that day',
              numeric: true,
              cell: (r) => format.number(r.index, 2),
            },
          ]}
        />
      </div>
    </Card>
  );
}

function Scatter({ results, fit }: { results: readonly Result[]; fit: Fit }) {
  const mostIndex = Math.max(...results.map((r) => r.index), 0.1) * 1.1;
  const mostValue = Math.max(...results.map((r) => r.value), 0);
  const leastValue = Math.min(...results.map((r) => r.value), 0);
  const span = (mostValue - leastValue || 1) * 1.1;
  const x = (index: number) => LEFT + (index / mostIndex) * (WIDTH - LEFT - 10);
  const y = (value: number) => HEIGHT - FOOT - ((value - leastValue) / span) * (HEIGHT - FOOT - 10);
  const { line } = fit;
  const on = (index: number) => (line ? line.intercept + line.slope * index : 0);
  return (
    <svg
      className="results"
      viewBox={`0 0 ${String(WIDTH)} ${String(HEIGHT)}`}
      role="img"
      aria-label={`${fit.measure} against the index of wood contact`}
    >
      <path d={`M${String(LEFT)} 10V${String(HEIGHT - FOOT)}H${String(WIDTH - 10)}`} />
      <text x={LEFT} y={HEIGHT - 10}>
        0
      </text>
      <text x={WIDTH - 10} y={HEIGHT - 10} textAnchor="end">
        index {format.number(mostIndex, 2)}
      </text>
      <text x={LEFT - 6} y={18} textAnchor="end">
        {format.number(leastValue + span, 1)}
      </text>
      <text x={LEFT - 6} y={HEIGHT - FOOT} textAnchor="end">
        {format.number(leastValue, 1)}
      </text>
      {line && (
        <path
          className="results-line"
          d={`M${String(x(0))} ${String(y(on(0)))}L${String(x(mostIndex))} ${String(y(on(mostIndex)))}`}
        />
      )}
      {results.map((r) =>
        r.kind === 'laboratory' ? (
          <circle key={r.id} cx={x(r.index)} cy={y(r.value)} r={5} />
        ) : (
          <rect key={r.id} x={x(r.index) - 5} y={y(r.value) - 5} width={10} height={10} />
        ),
      )}
    </svg>
  );
}
