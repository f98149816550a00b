import type { BlendChoice } from '@rundlet/contracts';
import type { ReactNode } from 'react';
import { Button, Card, format } from '../../kit/kit.ts';
import { aimLabel, attributeLabel } from './wish-words.ts';
import './compare.css';

interface Line {
  readonly title: string;
  readonly cell: (plan: BlendChoice) => ReactNode;
}

const SHOWN_SHARES = ['previousContents', 'woodSpecies', 'fillNumber', 'spiritLot', 'plot'];
const MOST_SHARES = 3;

/** Near-best plans side by side; one of them is looked at and kept. */
export function ComparePlans({
  plans,
  chosen,
  onChoose,
}: {
  plans: readonly BlendChoice[];
  chosen: number;
  onChoose: (at: number) => void;
}) {
  return (
    <Card title="Plans side by side">
      <div className="table-frame" tabIndex={0} role="region" aria-label="The plans compared">
        <table className="table compare">
          <thead>
            <tr>
              <td />
              {plans.map((plan, at) => (
                <th key={at} scope="col" data-chosen={at === chosen}>
                  <span>
                    Plan {at + 1}
                    {at === 0 && ', best'}
                  </span>
                  {at === chosen ? (
                    <span className="compare-chosen">looked at</span>
                  ) : (
                    <Button
                      onClick={() => {
                        onChoose(at);
                      }}
                    >
                      Look at plan {at + 1}
                    </Button>
                  )}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {linesOf(plans).map((line) => (
              <tr key={line.title}>
                <th scope="row">{line.title}</th>
                {plans.map((plan, at) => (
                  <td key={at} data-chosen={at === chosen}>
                    {line.cell(plan)}
                  </td>
                ))}
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </Card>
  );
}

function linesOf(plans: readonly BlendChoice[]): Line[] {
  const aims = plans[0]?.aims ?? [];
  return [
    {
      title: 'Worse than the best',
      cell: (p) =>
        p.lossToBest <= 1e-6
          ? 'no'
          : p.lossToBest < 5e-5
            ? 'by less than 0.01 %'
            : `by ${format.percent(p.lossToBest, 2)}`,
    },
    { title: 'Casks changed', cell: (p) => (p === plans[0] ? '–' : format.number(p.casksChanged)) },
    ...aims.map((aim, i): Line => ({
      title: sentenceCase(aimLabel(aim.kind)),
      cell: (p) =>
        `${format.number(p.aims[i]?.value, Math.abs(aim.value) < 100 ? 1 : 0)} ${aim.unit}`,
    })),
    { title: 'Casks cost', cell: (p) => format.number(p.cost) },
    {
      title: 'Casks',
      cell: (p) =>
        `${format.number(p.parts.length)}${p.left.heelCasks > 0 ? `, ${format.number(p.left.heelCasks)} in part` : ''}`,
    },
    {
      title: 'Rows opened',
      cell: (p) => (
        <>
          {format.number(p.rows.length)}
          <span className="compare-small">{p.rows.map(({ row }) => shortRow(row)).join('; ')}</span>
        </>
      ),
    },
    {
      title: 'Ages',
      cell: (p) =>
        `${format.number(p.ages.youngestYears, 1)} to ${format.number(p.ages.oldestYears, 1)}, mean ${format.years(p.ages.meanYears)}`,
    },
    {
      title: 'Vat',
      cell: (p) =>
        `${format.litres(p.result.bulkLitresAt20C)} at ${format.strength(p.result.strengthPercentVol, 2)}`,
    },
    { title: 'Water', cell: (p) => format.litres(p.waterLitresAt20C) },
    {
      title: 'Within tolerance, water as planned',
      cell: (p) => `${format.number(p.interval.chanceAsPlanned * 100)} of 100`,
    },
    {
      title: 'Within tolerance, water trimmed',
      cell: (p) => `${format.number(p.interval.chanceWithTrim * 100)} of 100`,
    },
    ...SHOWN_SHARES.filter((attribute) =>
      plans.some((p) => p.shares.some((s) => s.attribute === attribute)),
    ).map((attribute): Line => ({
      title: `By ${attributeLabel(attribute)}`,
      cell: (p) => sharesLine(p, attribute),
    })),
    {
      title: 'Left in the stock',
      cell: (p) =>
        `${format.pureAlcohol(p.left.litresPureAlcohol)}, mean age ${format.years(p.left.meanYears)}`,
    },
    { title: 'Near their floor, left', cell: (p) => format.count(p.left.atRiskCasks, 'cask') },
    ...(plans.some((p) => p.left.heelCasks > 0)
      ? [{ title: 'Heels left', cell: (p: BlendChoice) => format.litres(p.left.heelLitres) }]
      : []),
  ];
}

const sentenceCase = (words: string): string => words.charAt(0).toUpperCase() + words.slice(1);

/** The store's and zone's names are the same for most rows of a plan; the row tells them apart. */
const shortRow = (row: string): string => row.split(', ').slice(1).join(', ') || row;

function sharesLine(plan: BlendChoice, attribute: string): string {
  const shares = plan.shares.filter((s) => s.attribute === attribute);
  const told = shares
    .slice(0, MOST_SHARES)
    .map(({ value, share }) => `${value} ${format.percent(share, 0)}`);
  const more = shares.length - told.length;
  return told.join(', ') + (more > 0 ? ` and ${String(more)} more` : '');
}
