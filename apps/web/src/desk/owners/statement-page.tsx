import '../books/return.css';
import type { AccountUnit, OwnedCask, OwnerForecast, OwnerStatement } from '@rundlet/contracts';
import { ACCOUNT_UNITS, CAUSE_WORDS } from '@rundlet/domain';
import { useState } from 'react';
import { Link, useParams } from 'wouter';
import { api, useApi } from '../../data/client.ts';
import { FileButton } from '../../data/file-button.tsx';
import { useMay } from '../../data/session.tsx';
import {
  Button,
  Card,
  DateField,
  Empty,
  Figure,
  Figures,
  format,
  LinkButton,
  Loaded,
  Notice,
  Page,
  Table,
} from '../../kit/kit.ts';
import { UnitField, useNames, useUnit } from '../books/account-fields.tsx';
import { Soon, useSoon } from '../jobs/soon.tsx';

/** What an owner has lying here: each cask at filling, since the owner had it, and now. */
export default function StatementPage() {
  const { id = '' } = useParams<{ id: string }>();
  const [period, setPeriod] = useState<Partial<OwnerStatement['period']>>({});
  const query = useApi(api.owners.statement, { params: { id }, query: period });
  const may = useMay();
  const forecast = useSoon(api.owners.forecastSoon, { params: { id } });
  const [chosenUnit, setUnit] = useState<AccountUnit | null>(null);
  const unit = useUnit(chosenUnit);
  const file = { params: { id }, query: { ...period, unit } };
  return (
    <Loaded query={query} what="Drawing up the statement">
      {(statement) => (
        <Page
          title={`Statement for ${statement.account.name}`}
          lead={`Account ${statement.account.code}, ${statement.account.kind === 'own' ? 'own stock' : 'a customer’s stock'}, as of ${format.dateTime(statement.madeAt)}.`}
          actions={
            <>
              <LinkButton to="/owners" icon="back">
                Owners
              </LinkButton>
              {may('keep') && statement.casks.length > 0 && (
                <LinkButton to={`/owners/${id}/pass`} icon="swap">
                  Pass casks on
                </LinkButton>
              )}
              <FileButton endpoint={api.owners.statementPdf} input={file} label="PDF" />
              <FileButton endpoint={api.owners.statementCsv} input={file} label="CSV" />
              <Button
                onClick={() => {
                  window.print();
                }}
              >
                Print
              </Button>
            </>
          }
        >
          <div className="grid not-printed">
            <UnitField value={unit} onChange={setUnit} />
          </div>
          <Sums statement={statement} unit={unit} forecast={forecast.data?.answer ?? null} />
          <Notice tone="caution">
            Losses and strengths change with time and measurement. This is no proof of duty status
            or title: check with your authority and your contract.
          </Notice>
          {statement.casks.length === 0 ? (
            <Empty title="No cask of this account holds spirit">
              A cask passes to an owner from its own page, under “Owner”; many at once from the
              statement of the account that holds them.
            </Empty>
          ) : (
            <Casks casks={statement.casks} unit={unit} forecast={forecast.data?.answer ?? null} />
          )}
          <Left statement={statement} unit={unit} onPeriod={setPeriod} />
          {statement.vats.length > 0 && <Vats vats={statement.vats} unit={unit} />}
          {statement.casks.length > 0 && (
            <Card title="What the forecast rests on">
              <Soon query={forecast} what="Forecasting the casks">
                {({ assumptions }) => (
                  <ul>
                    {assumptions.map((line) => (
                      <li key={line}>{line}</li>
                    ))}
                    <li>
                      The forecast is of today; nothing is drawn, topped up or moved since the last
                      entry. The interval of the sum is not the sum of the intervals.
                    </li>
                  </ul>
                )}
              </Soon>
            </Card>
          )}
        </Page>
      )}
    </Loaded>
  );
}

interface Shown {
  unit: AccountUnit;
  forecast: OwnerForecast | null;
}

function Sums({ statement: { casks }, unit, forecast }: Shown & { statement: OwnerStatement }) {
  const { symbol, of } = ACCOUNT_UNITS[unit];
  const sum = (part: (cask: OwnedCask) => number) =>
    of(casks.reduce((total, cask) => total + part(cask), 0));
  const total = forecast?.total;
  return (
    <Figures>
      <Figure label="Casks" value={casks.length} unit="" decimals={0} />
      <Figure
        label="At filling"
        value={sum((c) => c.atFillingLitresPureAlcohol)}
        unit={symbol}
        origin="measured"
      />
      <Figure
        label="Lost since held"
        value={sum((c) => c.lostLitresPureAlcohol)}
        unit={symbol}
        origin="calculated"
      />
      <Figure
        label="Samples drawn"
        value={sum((c) => c.samplesLitresPureAlcohol)}
        unit={symbol}
        decimals={2}
        origin="calculated"
      />
      <Figure
        label="By the last gauges"
        value={sum((c) => c.nowLitresPureAlcohol)}
        unit={symbol}
        origin="calculated"
        note="less what was drawn since"
      />
      {total && (
        <Figure
          label="Today, by the forecast"
          value={of(total.q50)}
          unit={symbol}
          origin="forecast"
          interval={[of(total.q05), of(total.q95)]}
        />
      )}
    </Figures>
  );
}

function Casks({ casks, unit, forecast }: Shown & { casks: readonly OwnedCask[] }) {
  const names = useNames();
  const { symbol, of } = ACCOUNT_UNITS[unit];
  const forecasts = new Map(forecast?.casks.map((c) => [c.fillingId, c.litresPureAlcohol]));
  const figure = (key: string, title: string, value: (cask: OwnedCask) => number) => ({
    key,
    title,
    numeric: true,
    cell: (cask: OwnedCask) => format.number(of(value(cask)), 2),
  });
  return (
    <Table
      caption={`Casks, figures in ${ACCOUNT_UNITS[unit].words}`}
      rows={casks}
      rowKey={(c) => c.fillingId}
      columns={[
        {
          key: 'cask',
          title: 'Cask',
          cell: (c) => (
            <Link href={`/casks/${c.caskId}`} className="code">
              {c.caskCode}
            </Link>
          ),
        },
        { key: 'kind', title: 'Kind', cell: (c) => c.caskKind },
        { key: 'store', title: 'Store', cell: (c) => names.store(c.storeId) },
        {
          key: 'filled',
          title: 'Filled',
          cell: (c) => <span className="one-line">{format.date(c.filledAt)}</span>,
        },
        {
          key: 'since',
          title: 'Held since',
          cell: (c) => <span className="one-line">{format.date(c.heldSince)}</span>,
        },
        figure('filling', `At filling ${symbol}`, (c) => c.atFillingLitresPureAlcohol),
        figure('taken', 'Taken over', (c) => c.takenOverLitresPureAlcohol),
        {
          key: 'moved',
          title: 'Added or drawn',
          numeric: true,
          cell: (c) =>
            c.movedLitresPureAlcohol === 0 ? '' : format.signed(of(c.movedLitresPureAlcohol), 2),
        },
        figure('samples', 'Samples', (c) => c.samplesLitresPureAlcohol),
        figure('lost', 'Lost', (c) => c.lostLitresPureAlcohol),
        figure('now', 'By last gauge', (c) => c.nowLitresPureAlcohol),
        {
          key: 'gauged',
          title: 'Gauged',
          cell: (c) => <span className="one-line">{format.date(c.lastGaugedAt)}</span>,
        },
        {
          key: 'forecast',
          title: 'Today, forecast (90 %)',
          numeric: true,
          cell: (c) => {
            const q = forecasts.get(c.fillingId);
            if (!q) return '…';
            const [low, mid, high] = [q.q05, q.q50, q.q95].map((v) => format.number(of(v), 1));
            return `${mid ?? ''} (${low ?? ''}–${high ?? ''})`;
          },
        },
      ]}
    />
  );
}

/** What left a cask or the account in a period of choice. */
function Left({
  statement: { left, period },
  unit,
  onPeriod,
}: {
  statement: OwnerStatement;
  unit: AccountUnit;
  onPeriod: (period: OwnerStatement['period']) => void;
}) {
  const { symbol, of } = ACCOUNT_UNITS[unit];
  const set = (part: Partial<OwnerStatement['period']>) => {
    const next = { ...period, ...part };
    if (next.from !== '' && next.to !== '') onPeriod(next);
  };
  return (
    <Card title="What left">
      <div className="stack">
        <div className="grid not-printed">
          <DateField
            label="From"
            value={period.from}
            onChange={(from) => {
              set({ from });
            }}
          />
          <DateField
            label="To"
            value={period.to}
            onChange={(to) => {
              set({ to });
            }}
          />
        </div>
        {left.length === 0 ? (
          <p>
            Nothing left from {format.date(period.from)} to {format.date(period.to)}.
          </p>
        ) : (
          <Table
            caption={`Left from ${period.from} to ${period.to}, ${ACCOUNT_UNITS[unit].words}`}
            rows={left}
            rowKey={(line) => line.entryId + line.cause}
            columns={[
              {
                key: 'at',
                title: 'On',
                cell: (line) => <span className="one-line">{format.date(line.at)}</span>,
              },
              { key: 'how', title: 'How', cell: (line) => CAUSE_WORDS[line.cause] },
              {
                key: 'words',
                title: 'Entry',
                cell: (line) => <span className="cell-words">{line.words}</span>,
              },
              {
                key: 'amount',
                title: symbol,
                numeric: true,
                cell: (line) => format.number(of(line.litresPureAlcohol), 2),
              },
            ]}
          />
        )}
        <p className="field-hint">
          What was disgorged left its cask for a vat and may still be the owner’s.
        </p>
      </div>
    </Card>
  );
}

function Vats({ vats, unit }: { vats: OwnerStatement['vats']; unit: AccountUnit }) {
  const { symbol, of } = ACCOUNT_UNITS[unit];
  return (
    <Table
      caption="Vats"
      rows={vats}
      rowKey={(v) => v.code}
      columns={[
        { key: 'code', title: 'Vat', cell: (v) => <span className="code">{v.code}</span> },
        { key: 'name', title: 'Name', cell: (v) => v.name },
        {
          key: 'amount',
          title: symbol,
          numeric: true,
          cell: (v) => format.number(of(v.litresPureAlcohol), 2),
        },
      ]}
    />
  );
}
