import type { BlendAnswer } from '@rundlet/contracts';
import { Link } from 'wouter';
import { Card, Figure, Figures, format, Notice, Table, type Tone } from '../../kit/kit.ts';
import { ATTRIBUTE_WORDS } from './wishes.ts';

const WORDS: Record<BlendAnswer['status'], { tone: Tone; title: string }> = {
  'proven-best': { tone: 'good', title: 'Proven best' },
  'within-gap': { tone: 'good', title: 'A good plan' },
  infeasible: { tone: 'bad', title: 'No choice of casks meets all the wishes' },
  'no-plan-found': { tone: 'caution', title: 'No plan found in the time given' },
  failed: { tone: 'bad', title: 'The search failed' },
  cancelled: { tone: 'caution', title: 'The search was stopped' },
};

/** The planner's answer: how sure, which casks, how much water, what comes of it; or why there is none. */
export function AnswerView({ answer }: { answer: BlendAnswer }) {
  const { tone, title } = WORDS[answer.status];
  return (
    <div className="stack">
      <Notice tone={tone} live title={title}>
        {answer.message}{' '}
        {answer.gap !== null &&
          answer.gap > 0 &&
          `At most ${format.percent(answer.gap, 2)} from best.`}{' '}
        {format.count(answer.candidates, 'cask')} looked at in {format.number(answer.seconds, 1)} s.
      </Notice>
      {answer.conflict.length > 0 && <Conflict conflict={answer.conflict} />}
      {answer.result && <Result answer={answer} result={answer.result} />}
      {answer.parts.length > 0 && <Parts parts={answer.parts} />}
      <div className="columns">
        {answer.shares.length > 0 && (
          <Card title="Shares of the pure alcohol">
            <Table
              caption="Shares by attribute"
              rows={answer.shares}
              rowKey={(s) => `${s.attribute}:${s.value}`}
              columns={[
                {
                  key: 'attribute',
                  title: 'Of',
                  cell: (s) => ATTRIBUTE_WORDS[s.attribute] ?? s.attribute,
                },
                { key: 'value', title: 'that is', cell: (s) => s.value },
                {
                  key: 'share',
                  title: 'Share',
                  numeric: true,
                  cell: (s) => format.percent(s.share, 1),
                },
              ]}
            />
          </Card>
        )}
        <div className="stack">
          {answer.sensitivity.length > 0 && (
            <Card title="What a little more would cost">
              <ul>
                {answer.sensitivity.map((s) => (
                  <li key={s.what}>
                    {s.what}: {format.signed(s.costs, 2)} {s.unit}
                  </li>
                ))}
              </ul>
            </Card>
          )}
          {answer.excluded.length > 0 && (
            <Card title="Casks not considered">
              <ul>
                {answer.excluded.map((e) => (
                  <li key={e.reason}>
                    {format.count(e.casks, 'cask')}: {e.reason}
                  </li>
                ))}
              </ul>
            </Card>
          )}
        </div>
      </div>
    </div>
  );
}

function Conflict({ conflict }: { conflict: BlendAnswer['conflict'] }) {
  return (
    <Card title="These wishes cannot all be met together">
      <Table
        caption="Wishes in conflict, and the least change of each that opens a plan"
        rows={conflict}
        rowKey={(c) => c.wish}
        columns={[
          { key: 'wish', title: 'Wish', cell: (c) => c.wish },
          {
            key: 'relax',
            title: 'Least change',
            cell: (c) => c.relaxation ?? 'no change of it alone helps',
          },
          {
            key: 'alone',
            title: 'Enough by itself',
            cell: (c) => (c.enoughAlone === null ? 'not settled' : c.enoughAlone ? 'yes' : 'no'),
          },
        ]}
      />
    </Card>
  );
}

function Result({
  answer,
  result,
}: {
  answer: BlendAnswer;
  result: NonNullable<BlendAnswer['result']>;
}) {
  const { interval } = answer;
  return (
    <Card title="The vat">
      <Figures>
        <Figure
          large
          label="Volume at 20 °C"
          value={result.bulkLitresAt20C}
          unit="L"
          decimals={1}
          origin="forecast"
          {...(interval ? { interval: [interval.bulkLow90, interval.bulkHigh90] as const } : {})}
        />
        <Figure
          large
          label="Strength at 20 °C"
          value={result.strengthPercentVol}
          unit="% vol"
          decimals={2}
          origin="forecast"
          {...(interval
            ? { interval: [interval.strengthLow90, interval.strengthHigh90] as const }
            : {})}
        />
        <Figure
          label="Water to add"
          value={answer.waterLitresAt20C}
          unit="L at 20 °C"
          origin="calculated"
        />
        <Figure
          label="Contraction"
          value={result.contractionLitres}
          unit="L"
          origin="calculated"
          note="volumes do not add"
        />
        <Figure
          label="Pure alcohol"
          value={result.litresPureAlcohol}
          unit="LPA"
          origin="forecast"
        />
        {interval && (
          <Figure
            label="Chance within the tolerances"
            value={interval.chanceWithinTolerance * 100}
            unit="%"
            decimals={0}
            origin="forecast"
            note="before the last trim at the vat"
          />
        )}
      </Figures>
    </Card>
  );
}

function Parts({ parts }: { parts: BlendAnswer['parts'] }) {
  return (
    <Card title={format.count(parts.length, 'cask')}>
      <Table
        caption="Casks chosen"
        rows={parts}
        rowKey={(p) => p.fillingId}
        columns={[
          {
            key: 'cask',
            title: 'Cask',
            cell: (p) => <Link href={`/casks/${p.caskId}`}>{p.caskCode}</Link>,
          },
          { key: 'place', title: 'Position', cell: (p) => p.positionCode ?? '–' },
          { key: 'what', title: 'What it is', cell: (p) => p.line },
          { key: 'age', title: 'Age, y', numeric: true, cell: (p) => format.number(p.ageYears, 1) },
          {
            key: 'take',
            title: 'Take, L (forecast)',
            numeric: true,
            cell: (p) => `${format.number(p.takeLitresAt20C, 1)}${p.whole ? '' : ' part'}`,
          },
          {
            key: 'strength',
            title: '% vol',
            numeric: true,
            cell: (p) => format.number(p.strengthPercentVol, 2),
          },
          {
            key: 'share',
            title: 'Share of alcohol',
            numeric: true,
            cell: (p) => format.percent(p.shareOfAlcohol, 1),
          },
        ]}
      />
    </Card>
  );
}
