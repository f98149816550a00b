import type { AnswerOf, StepKind, StepLink, StepYield } from '@rundlet/contracts';
import type { ReactNode } from 'react';
import { Link, useParams } from 'wouter';
import { History } from '../../aisle/cask/history.tsx';
import { api, useApi } from '../../data/client.ts';
import { useMay } from '../../data/session.tsx';
import {
  Card,
  Empty,
  Facts,
  Figure,
  Figures,
  format,
  LinkButton,
  Loaded,
  Mark,
  Page,
  Table,
} from '../../kit/kit.ts';
import { KIND_WORDS } from './kinds.ts';
import { NodeLinks } from './lineage-drawing.tsx';
import { NoSuchStep } from './step-page.tsx';
import { isStepKind, STEP, type Step, type StepField } from './steps.ts';

/** One step of the chain: what is recorded of it, what it came from, what it became, and its history. */
export default function RecordPage() {
  const { kind = '', id = '' } = useParams<{ kind: string; id: string }>();
  const may = useMay();
  const query = useApi(
    api.lineage.step,
    { params: { kind: isStepKind(kind) ? kind : 'plot', id } },
    { enabled: isStepKind(kind) },
  );
  if (!isStepKind(kind)) return <NoSuchStep />;
  const step: Step = STEP[kind];
  return (
    <Loaded query={query}>
      {(answer) => {
        const { record } = answer.step;
        return (
          <Page
            title={`${capital(KIND_WORDS[kind])} ${record.code}`}
            lead={<NodeLinks node={{ kind, id }} onItsPage />}
            actions={
              <>
                {may('keep') && (
                  <LinkButton to={`/origins/${kind}/${id}/correct`}>Correct it</LinkButton>
                )}
                {may('warehouse') && step.next && (
                  <LinkButton to={`/origins/${step.next.kind}/new?of=${id}`}>
                    Record {step.next.words}
                  </LinkButton>
                )}
              </>
            }
          >
            <div className="columns">
              <Card title="What is recorded">
                <Facts
                  facts={step.fields.map((field) => [
                    field.label,
                    <Fact key={field.name} {...{ field, record }} />,
                  ])}
                />
              </Card>
              <div className="stack">
                {answer.yields.length > 0 && <Yields yields={answer.yields} />}
                <Now kind={kind} id={id} />
              </div>
            </div>
            {kind !== 'plot' && (
              <Card title="What it came from">
                <Links
                  links={answer.from}
                  caption="What it was made of"
                  none={
                    kind === 'spirit-lot'
                      ? 'No run of ours: bought in, or older than the records.'
                      : 'Nothing is recorded.'
                  }
                />
              </Card>
            )}
            {kind !== 'spirit-lot' && (
              <Card title="What it became">
                <Links
                  links={answer.became}
                  caption="What was made of it"
                  none="Nothing is recorded that was made of it yet."
                />
              </Card>
            )}
            <Card title="History">
              <StepHistory subject={`${kind}:${id}`} />
            </Card>
          </Page>
        );
      }}
    </Loaded>
  );
}

type Recorded = AnswerOf<typeof api.lineage.step>['step']['record'];

function Fact({ field, record }: { field: StepField; record: Recorded }) {
  const value = (record as unknown as Readonly<Record<string, string | number | null>>)[field.name];
  const corrected = record.corrected[field.name];
  const unit = field.unit === undefined || field.unit === 'year' ? '' : ` ${field.unit}`;
  const told = (): ReactNode => {
    if (value === null || value === undefined) return '–';
    if (field.as === 'date') return format.date(String(value));
    if (field.unit === 'year') return value;
    return typeof value === 'number' ? `${format.number(value, decimalsOf(value))}${unit}` : value;
  };
  return (
    <>
      {told()}
      {corrected !== undefined && (
        <>
          {' '}
          <Mark icon="info">corrected {format.date(corrected)}</Mark>
        </>
      )}
    </>
  );
}

const decimalsOf = (value: number): number =>
  Math.min(3, (String(value).split('.')[1] ?? '').length);
const capital = (words: string): string => words.charAt(0).toUpperCase() + words.slice(1);

const YIELD_WORDS: Record<StepYield['what'], readonly [got: string, most: string]> = {
  'mass-used': ['Used in ferments', 'its weight'],
  'ethanol-of-sugar': ['Alcohol fermented', 'the most its sugar can give (51.1 % by mass)'],
  'litres-charged': ['Charged to stills', 'its volume'],
  'ethanol-of-wash': ['Alcohol in the hearts', 'what the wash held'],
  received: ['Received as spirit', 'what the hearts held'],
};

function Yields({ yields }: { yields: readonly StepYield[] }) {
  const amount = (value: number, unit: string) => `${format.number(value, 1)} ${unit}`;
  return (
    <Card title="Yields, held against what is possible">
      <div className="stack">
        <ul className="stack-tight">
          {yields.map((one) => (
            <li key={`${one.what} ${one.of ?? ''}`}>
              {YIELD_WORDS[one.what][0]}: <b>{amount(one.value, one.unit)}</b> of{' '}
              {amount(one.most, one.unit)}, {YIELD_WORDS[one.what][1]}
              {one.of === null ? '' : ` (run ${one.of})`}
              {one.most > 0 && (
                <>
                  {' '}
                  <Mark tone={one.value > one.most * one.tolerance ? 'bad' : 'good'}>
                    {format.percent(one.value / one.most)}
                  </Mark>{' '}
                  <span className="soft small">of {format.percent(one.tolerance)} at most</span>
                </>
              )}
            </li>
          ))}
        </ul>
        <p className="soft small">
          Calculated from what is recorded. What is more than all of it is taken for measurement.
        </p>
      </div>
    </Card>
  );
}

function Links({
  links,
  caption,
  none,
}: {
  links: readonly StepLink[];
  caption: string;
  none: string;
}) {
  if (links.length === 0) return <p>{none}</p>;
  const some = links.some((l) => l.litresPureAlcohol !== null);
  return (
    <Table
      caption={caption}
      rows={links}
      rowKey={(l) => l.id}
      columns={[
        {
          key: 'code',
          title: capital(KIND_WORDS[links[0]?.kind ?? 'plot']),
          cell: (l) => <Link href={`/origins/${l.kind}/${l.id}`}>{l.code}</Link>,
        },
        {
          key: 'name',
          title: 'What is known',
          cell: (l) => [l.name, l.detail].filter(Boolean).join(', '),
        },
        { key: 'amount', title: 'How much of it', numeric: true, cell: amountOf },
        ...(some
          ? [
              {
                key: 'lpa',
                title: 'LPA (calculated)',
                numeric: true as const,
                cell: (l: StepLink) => format.number(l.litresPureAlcohol, 1),
              },
            ]
          : []),
      ]}
    />
  );
}

const amountOf = ({ unit, amount }: StepLink): string =>
  unit === 'share'
    ? format.percent(amount)
    : `${format.number(amount, decimalsOf(amount))} ${unit}`;

/** Where its alcohol is: in casks, in vats, in bottles. */
function Now({ kind, id }: { kind: StepKind; id: string }) {
  const query = useApi(api.lineage.recall, { params: { kind, id } });
  return (
    <Card
      title="Where it is now"
      aside={<LinkButton to={`/recall/${kind}/${id}`}>All of it</LinkButton>}
    >
      <Loaded query={query} what="Searching every vessel">
        {({ rows, bottlings, litresPureAlcohol, casks }) =>
          rows.length + bottlings.length === 0 ? (
            <Empty title="Nothing of it is in any vessel" />
          ) : (
            <Figures>
              <Figure
                label="Pure alcohol of it"
                value={litresPureAlcohol}
                unit="LPA"
                origin="calculated"
              />
              <Figure
                label="Litres of it"
                value={rows.reduce((sum, row) => sum + row.bulkLitresOfIt, 0)}
                unit="L"
                origin="calculated"
              />
              <Figure
                label="In casks"
                value={casks}
                unit="casks"
                decimals={0}
                origin="calculated"
              />
              <Figure
                label="Bottled"
                value={bottlings.reduce((sum, run) => sum + run.litresPureAlcoholOfIt, 0)}
                unit="LPA"
                origin="calculated"
              />
            </Figures>
          )
        }
      </Loaded>
    </Card>
  );
}

function StepHistory({ subject }: { subject: string }) {
  const journal = useApi(api.journal.list, { query: { subject, limit: 50 } });
  return <Loaded query={journal}>{({ rows }) => <History lines={rows} />}</Loaded>;
}
