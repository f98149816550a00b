import type { BlendChoice } from '@rundlet/contracts';
import { Card, Facts, Figure, Figures, format, Table } from '../../kit/kit.ts';
import { ChanceView } from './chance-view.tsx';
import { PartsTable, type Replan } from './parts-table.tsx';
import { attributeLabel } from './wish-words.ts';

/** One plan: its vat, its chances, its casks, its shares, what it leaves. */
export function ChoiceView({
  plan,
  name,
  onReplan,
}: {
  plan: BlendChoice;
  name: string;
  onReplan: ((replan: Replan) => void) | undefined;
}) {
  return (
    <div className="stack">
      <Card title={name}>
        <div className="stack">
          <Vat plan={plan} />
          <ChanceView plan={plan} />
        </div>
      </Card>
      <PartsTable plan={plan} onReplan={onReplan} />
      <div className="columns">
        <Shares plan={plan} />
        <Card title="What it opens and what it leaves">
          <Facts
            facts={[
              ['Youngest', format.years(plan.ages.youngestYears)],
              ['Mean age', format.years(plan.ages.meanYears)],
              ['Oldest', format.years(plan.ages.oldestYears)],
              ['Casks cost', format.number(plan.cost)],
              ['Left in the stock', format.count(plan.left.casks, 'cask')],
              ['of', format.pureAlcohol(plan.left.litresPureAlcohol)],
              ['with a mean age of', format.years(plan.left.meanYears)],
              ['near their floor, left', format.count(plan.left.atRiskCasks, 'cask')],
              plan.left.heelCasks > 0
                ? [
                    'Heels',
                    `${format.count(plan.left.heelCasks, 'cask')}, ${format.litres(plan.left.heelLitres)}`,
                  ]
                : null,
            ]}
          />
          <h3 className="spaced">Rows opened: {format.number(plan.rows.length)}</h3>
          <ul>
            {plan.rows.map((row) => (
              <li key={row.row}>
                {row.row}: {format.count(row.casks, 'cask')}
              </li>
            ))}
          </ul>
        </Card>
      </div>
    </div>
  );
}

function Vat({ plan: { result, interval, waterLitresAt20C } }: { plan: BlendChoice }) {
  return (
    <Figures>
      <Figure
        large
        label="Volume at 20 °C"
        value={result.bulkLitresAt20C}
        unit="L"
        decimals={1}
        origin="forecast"
        interval={[interval.bulkLow90, interval.bulkHigh90]}
      />
      <Figure
        large
        label="Strength at 20 °C"
        value={result.strengthPercentVol}
        unit="% vol"
        decimals={2}
        origin="forecast"
        interval={[interval.strengthLow90, interval.strengthHigh90]}
      />
      <Figure label="Water to add" value={waterLitresAt20C} unit="L" origin="calculated" />
      <Figure
        label="Contraction"
        value={result.contractionLitres}
        unit="L"
        origin="calculated"
        note="volumes do not add"
      />
      <Figure label="Pure alcohol" value={result.litresPureAlcohol} unit="LPA" origin="forecast" />
    </Figures>
  );
}

function Shares({ plan }: { plan: BlendChoice }) {
  return (
    <Card title="Shares">
      <Table
        caption="Shares by attribute"
        rows={plan.shares}
        rowKey={(s) => `${s.attribute}:${s.value}`}
        columns={[
          { key: 'attribute', title: 'By', cell: (s) => attributeLabel(s.attribute) },
          { key: 'value', title: 'that is', cell: (s) => s.value },
          {
            key: 'share',
            title: 'of alcohol',
            numeric: true,
            cell: (s) => format.percent(s.share, 1),
          },
          {
            key: 'bulk',
            title: 'of litres',
            numeric: true,
            cell: (s) => format.percent(s.shareOfBulk, 1),
          },
        ]}
      />
    </Card>
  );
}
