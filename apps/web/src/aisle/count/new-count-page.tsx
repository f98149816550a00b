import { api, type StoreView } from '@rundlet/contracts';
import { useState } from 'react';
import { useLocation } from 'wouter';
import { newId } from '../../acts/act.ts';
import { ActOutcome } from '../../acts/act-outcome.tsx';
import { useAct } from '../../acts/use-act.ts';
import { refreshAisle, useAisle } from '../../data/aisle.ts';
import type { AisleIndex } from '../../data/aisle-index.ts';
import { useApi } from '../../data/client.ts';
import {
  Button,
  CheckField,
  ChoiceField,
  Loaded,
  Page,
  SelectField,
  TextField,
} from '../../kit/kit.ts';
import { SampleFields, type SampleDraft } from './sample-fields.tsx';

/** Opens a stock-take of a store, some of its zones, or some rows. */
export default function NewCountPage() {
  const act = useAct('stocktake.open');
  const [, go] = useLocation();
  const aisle = useAisle();
  const stores = useApi(api.places.stores);
  const [id] = useState(newId);
  const [chosenStore, setStore] = useState('');
  const [zoneIds, setZones] = useState<string[]>([]);
  const [rows, setRows] = useState('');
  const [title, setTitle] = useState('');
  const [code, setCode] = useState(
    () => `ST-${new Date().toISOString().slice(0, 10)}-${id.slice(-4).toUpperCase()}`,
  );
  const accounts = useApi(api.places.accounts);
  const [accountId, setAccount] = useState('');
  const [sample, setSample] = useState<SampleDraft>(() => ({
    on: false,
    casks: 60,
    seed: id.slice(-8),
  }));
  const [blind, setBlind] = useState<'blind' | 'guided'>('guided');
  const storeId = chosenStore || (aisle.storeId ?? '');

  const submit = async () => {
    const done = await act.run(
      {
        id,
        code: code.trim().toUpperCase(),
        title,
        blind: blind === 'blind',
        scope: {
          storeId,
          zoneIds,
          rows: rowNames(rows),
          ...(accountId === '' ? {} : { accountIds: [accountId] }),
          ...(sample.on ? { sample: { casks: sample.casks ?? 0, seed: sample.seed } } : {}),
        },
      },
      `Open the stock-take ${title}`,
    );
    if (done?.status !== 'applied') return;
    await refreshAisle({ evenIfFresh: true });
    go(`/counts/${id}`);
  };
  return (
    <Page title="Open a stock-take" narrow>
      <Loaded query={stores} what="Asking for the stores">
        {({ rows: all }) => {
          const store = all.find((view) => view.store.id === storeId);
          return (
            <form
              className="stack"
              noValidate
              onSubmit={(event) => {
                event.preventDefault();
                void submit();
              }}
            >
              <TextField
                label="Title"
                hint="What people will call it"
                value={title}
                onChange={setTitle}
                error={act.errors.at('/title')}
              />
              <TextField
                label="Code"
                value={code}
                onChange={setCode}
                error={act.errors.at('/code')}
                className="input-code"
              />
              <SelectField
                label="Store"
                value={storeId}
                empty="Choose …"
                onChange={(next: string) => {
                  setStore(next);
                  setZones([]);
                }}
                choices={all.map((view) => ({ value: view.store.id, label: view.store.name }))}
                error={act.errors.at('/scope/storeId')}
              />
              {store && (
                <fieldset className="field">
                  <legend className="field-label">Zones</legend>
                  <span className="field-hint">None chosen means the whole store</span>
                  {store.zones.map(({ zone, casks }) => (
                    <CheckField
                      key={zone.id}
                      checked={zoneIds.includes(zone.id)}
                      onChange={(on) => {
                        setZones(
                          on ? [...zoneIds, zone.id] : zoneIds.filter((other) => other !== zone.id),
                        );
                      }}
                    >
                      {zone.name} <span className="soft small">{casks} casks by the book</span>
                    </CheckField>
                  ))}
                </fieldset>
              )}
              <TextField
                label="Rows"
                hint="Their names with commas between; empty means all of them"
                value={rows}
                onChange={setRows}
                error={act.errors.at('/scope/rows')}
              />
              <SelectField
                label="Owner"
                hint="One owner’s casks alone, by the account their spirit is in"
                value={accountId}
                empty="Everybody’s"
                onChange={setAccount}
                choices={(accounts.data?.rows ?? []).map(({ id: value, name }) => ({
                  value,
                  label: name,
                }))}
              />
              <SampleFields
                sample={sample}
                onChange={setSample}
                population={
                  casksIn(aisle.index, storeId, zoneIds, rowNames(rows)) ?? inZones(store, zoneIds)
                }
                error={act.errors.at('/scope/sample/casks')}
              />
              <ChoiceField
                label="The counter"
                value={blind}
                onChange={setBlind}
                choices={[
                  { value: 'guided', label: 'sees what is expected' },
                  { value: 'blind', label: 'counts blind' },
                ]}
              />
              <ActOutcome
                act={act}
                pointers={[
                  '/title',
                  '/code',
                  '/scope/storeId',
                  '/scope/rows',
                  '/scope/sample/casks',
                ]}
              />
              <div className="form-foot">
                <Button
                  type="submit"
                  kind="main"
                  icon="count"
                  busy={act.busy}
                  disabled={storeId === ''}
                >
                  Open it
                </Button>
              </div>
            </form>
          );
        }}
      </Loaded>
    </Page>
  );
}

const rowNames = (text: string): string[] =>
  text
    .split(/[\s,]+/)
    .map((row) => row.trim())
    .filter(Boolean);

/** Casks of the scope by what this device holds; null when it holds another store. */
function casksIn(
  index: AisleIndex | null,
  storeId: string,
  zoneIds: readonly string[],
  rows: readonly string[],
): number | null {
  if (index?.snapshot.store.id !== storeId) return null;
  return index.snapshot.casks.filter((cask) => {
    const position = index.positionById.get(cask.positionId ?? '');
    return (
      position !== undefined &&
      (zoneIds.length === 0 || zoneIds.includes(position.zoneId)) &&
      (rows.length === 0 || rows.includes(position.row))
    );
  }).length;
}

const inZones = (view: StoreView | undefined, zoneIds: readonly string[]): number =>
  (view?.zones ?? [])
    .filter(({ zone }) => zoneIds.length === 0 || zoneIds.includes(zone.id))
    .reduce((sum, { casks }) => sum + casks, 0);
