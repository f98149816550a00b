import { api, useApi } from '../../data/client.ts';
import { Button, NumberField, SelectField, TextField } from '../../kit/kit.ts';
import { SHARE_OF, type ShareWish } from './wishes.ts';

/** Floors and caps on a share of the pure alcohol: “at most 30 % from casks that held wine”. */
export function ShareWishes({
  shares,
  onChange,
}: {
  shares: readonly ShareWish[];
  onChange: (shares: ShareWish[]) => void;
}) {
  const facets = useApi(api.casks.facets, {}, { staleTime: 300_000 });
  const known: Partial<Record<ShareWish['attribute'], readonly string[]>> = {
    woodSpecies: facets.data?.woodSpecies ?? [],
    caskKind: facets.data?.caskKinds ?? [],
    previousContents: facets.data?.previousContents ?? [],
  };
  const change = (at: number, more: Partial<ShareWish>) => {
    onChange(shares.map((s, i) => (i === at ? { ...s, ...more } : s)));
  };
  return (
    <fieldset className="field">
      <legend className="field-label">Shares of the pure alcohol</legend>
      <div className="stack-tight">
        {shares.map((share, i) => {
          const values = known[share.attribute];
          return (
            <div className="grid" key={i}>
              <SelectField
                label="Share of"
                value={share.attribute}
                onChange={(attribute) => {
                  change(i, { attribute, value: '' });
                }}
                choices={SHARE_OF}
              />
              {values ? (
                <SelectField
                  label="that is"
                  value={share.value}
                  empty="choose"
                  onChange={(value) => {
                    change(i, { value });
                  }}
                  choices={values.map((v) => ({ value: v, label: v }))}
                />
              ) : (
                <TextField
                  label="that is"
                  value={share.value}
                  onChange={(value) => {
                    change(i, { value });
                  }}
                />
              )}
              <NumberField
                label="at least"
                unit="%"
                value={share.atLeastPercent}
                onChange={(atLeastPercent) => {
                  change(i, { atLeastPercent });
                }}
              />
              <NumberField
                label="at most"
                unit="%"
                value={share.atMostPercent}
                onChange={(atMostPercent) => {
                  change(i, { atMostPercent });
                }}
              />
              <div>
                <Button
                  kind="quiet"
                  icon="cross"
                  onClick={() => {
                    onChange(shares.filter((_, j) => j !== i));
                  }}
                >
                  Drop this wish
                </Button>
              </div>
            </div>
          );
        })}
        <div>
          <Button
            onClick={() => {
              onChange([
                ...shares,
                {
                  attribute: 'previousContents',
                  value: '',
                  atLeastPercent: null,
                  atMostPercent: null,
                },
              ]);
            }}
          >
            Add a share
          </Button>
        </div>
      </div>
    </fieldset>
  );
}
