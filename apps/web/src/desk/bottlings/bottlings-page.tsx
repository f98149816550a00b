import { useState } from 'react';
import { Link } from 'wouter';
import { newId } from '../../acts/act.ts';
import { ActOutcome } from '../../acts/act-outcome.tsx';
import { useAct } from '../../acts/use-act.ts';
import { api, queries, useApi } from '../../data/client.ts';
import { useMay } from '../../data/session.tsx';
import {
  Button,
  Card,
  Empty,
  format,
  Mark,
  Notice,
  NumberField,
  Page,
  SelectField,
  Table,
  TextField,
} from '../../kit/kit.ts';
import { Paged } from '../paged/paged.tsx';
import { usePages } from '../paged/use-pages.ts';

/** Runs from vat to bottle, and what the public is told of each. */
export default function BottlingsPage() {
  const may = useMay();
  const { list, rows, onEnd } = usePages(api.bottlings.runs);
  return (
    <Page
      title="Bottlings"
      lead="What went from a vat into bottles. Each run can have a public page that anybody may check."
    >
      <Card title="Runs">
        <Paged
          list={list}
          rows={rows}
          what="Fetching bottlings"
          empty={<Empty title="Nothing has been bottled yet">Enter the first run below.</Empty>}
        >
          <Table
            caption="Bottling runs"
            rows={rows}
            rowKey={(r) => r.id}
            columns={[
              {
                key: 'code',
                title: 'Run',
                cell: (r) => <Link href={`/bottlings/${r.id}`}>{r.code}</Link>,
              },
              { key: 'name', title: 'Name', cell: (r) => r.name },
              { key: 'at', title: 'Bottled', cell: (r) => format.date(r.at) },
              { key: 'n', title: 'Bottles', numeric: true, cell: (r) => format.number(r.bottles) },
              {
                key: 'public',
                title: 'Public page',
                cell: (r) => (r.statement === null ? 'none' : <Mark tone="good">published</Mark>),
              },
            ]}
          />
          {onEnd && (
            <Button busy={list.isFetchingNextPage} onClick={onEnd}>
              Earlier runs
            </Button>
          )}
        </Paged>
      </Card>
      {may('keep') && <NewRun />}
    </Page>
  );
}

function NewRun() {
  const [code, setCode] = useState('');
  const [name, setName] = useState('');
  const [vatId, setVatId] = useState('');
  const [blendId, setBlendId] = useState('');
  const [litres, setLitres] = useState<number | null>(null);
  const [bottles, setBottles] = useState<number | null>(null);
  const [bottleMl, setBottleMl] = useState<number | null>(700);
  const [strength, setStrength] = useState<number | null>(null);
  const [gtin, setGtin] = useState('');
  const vats = useApi(api.places.vats);
  const blends = useApi(api.blends.blends, { query: { limit: 200 } });
  const act = useAct('bottling.record');
  const ready = code && name && vatId && litres && bottles && bottleMl && strength !== null;
  return (
    <Card title="Enter a run">
      <form
        className="stack"
        noValidate
        onSubmit={(event) => {
          event.preventDefault();
          if (!ready) return;
          void act
            .run(
              {
                id: newId(),
                code,
                name,
                vatId,
                blendId: blendId || null,
                bulkLitresAt20C: litres,
                bottles,
                bottleMl,
                labelStrengthPercentVol: strength,
                gtin: gtin || null,
              },
              `Bottling run ${code}`,
            )
            .then(() => queries.invalidateQueries());
        }}
      >
        <div className="grid">
          <TextField
            label="Run"
            value={code}
            onChange={(text) => {
              setCode(text.toUpperCase());
            }}
            hint="as on the label, like B26-1"
            error={act.errors.at('/code')}
          />
          <TextField label="Name" value={name} onChange={setName} error={act.errors.at('/name')} />
          <SelectField
            label="From vat"
            value={vatId}
            onChange={setVatId}
            error={act.errors.at('/vatId')}
            choices={[
              { value: '', label: 'choose a vat' },
              ...(vats.data?.rows ?? []).map(({ vat }) => ({
                value: vat.id,
                label: `${vat.name}, ${format.litres(vat.figures.bulkLitresAt20C)}`,
              })),
            ]}
          />
          <SelectField
            label="Blend in it"
            value={blendId}
            onChange={setBlendId}
            hint="names the casks on the public page"
            error={act.errors.at('/blendId')}
            choices={[
              { value: '', label: 'none recorded' },
              ...(blends.data?.rows ?? [])
                .filter((b) => vatId === '' || b.vatId === vatId)
                .map((b) => ({ value: b.id, label: `${b.code} ${b.name}` })),
            ]}
          />
          <NumberField
            label="Drawn from the vat, at 20 °C"
            unit="L"
            value={litres}
            onChange={setLitres}
            error={act.errors.at('/bulkLitresAt20C')}
          />
          <NumberField
            label="Bottles filled"
            unit="bottles"
            value={bottles}
            onChange={setBottles}
            error={act.errors.at('/bottles')}
          />
          <NumberField
            label="Bottle size"
            unit="mL"
            value={bottleMl}
            onChange={setBottleMl}
            error={act.errors.at('/bottleMl')}
          />
          <NumberField
            label="Strength on the label"
            unit="% vol"
            value={strength}
            onChange={setStrength}
            error={act.errors.at('/labelStrengthPercentVol')}
          />
          <TextField
            label="GTIN"
            value={gtin}
            onChange={setGtin}
            hint="14 digits, if the estate has one; else leave it empty"
            error={act.errors.at('/gtin')}
          />
        </div>
        <Notice tone="caution">
          Spirit vapour burns and explodes; keep to your site’s risk assessment. What a label may
          and must say is set by local law: check with your authority.
        </Notice>
        <ActOutcome
          act={act}
          pointers={[
            '/code',
            '/name',
            '/vatId',
            '/blendId',
            '/bulkLitresAt20C',
            '/bottles',
            '/bottleMl',
            '/labelStrengthPercentVol',
            '/gtin',
          ]}
          applied="Booked"
        />
        <div>
          <Button type="submit" kind="main" busy={act.busy} disabled={!ready}>
            Book the run
          </Button>
        </div>
      </form>
    </Card>
  );
}
