import { NumberField, SelectField } from '../../kit/kit.ts';
import { NumberWish, type WishFormPart } from './number-wish.tsx';
import { choicesFor, type Vocabulary } from './vocabulary.ts';
import { AIMS, ATTRIBUTES } from './wish-words.ts';
import { WishList } from './wish-list.tsx';
import { EMPTY_CHARACTER, type AimWish, type CharacterWish } from './wishes.ts';

const ORDER = [
  { value: '1', label: 'first' },
  { value: '2', label: 'second' },
  { value: '3', label: 'third' },
  { value: '4', label: 'fourth' },
] as const;

/** What is wanted most: one aim, several one after another, or several weighed against each other. */
export function AimWishes({ part, vocabulary }: { part: WishFormPart; vocabulary: Vocabulary }) {
  const { wishes, change, error } = part;
  const has = (kind: (typeof AIMS)[number]['value']) => wishes.aims.some((a) => a.kind === kind);
  return (
    <div className="stack">
      <WishList<AimWish>
        title="What is wanted most"
        hint={
          wishes.aims.length > 1
            ? 'Aims of the same order are weighed against each other; a later one decides only between plans that are equal by those before it.'
            : undefined
        }
        rows={wishes.aims}
        onChange={(aims) => {
          if (aims.length > 0) change({ aims });
        }}
        start={() => ({
          kind: AIMS.find(({ value }) => !has(value))?.value ?? 'least-cost',
          priority: Math.min(4, Math.max(...wishes.aims.map((a) => a.priority)) + 1),
          weight: null,
        })}
        add="Add an aim"
      >
        {(aim, changeAim, at) => {
          const shares = wishes.aims.filter((a) => a.priority === aim.priority).length > 1;
          return (
            <>
              <div className="wide">
                <SelectField
                  label="Aim"
                  value={aim.kind}
                  onChange={(kind) => {
                    changeAim({ kind });
                  }}
                  choices={AIMS}
                />
              </div>
              {wishes.aims.length > 1 && (
                <SelectField
                  label="Order"
                  value={String(aim.priority) as '1'}
                  onChange={(order) => {
                    changeAim({ priority: Number(order) });
                  }}
                  choices={ORDER}
                />
              )}
              {shares && (
                <NumberField
                  label="Weight"
                  unit={`per ${AIMS.find(({ value }) => value === aim.kind)?.unit ?? 'unit'}`}
                  hint="Empty: 1"
                  value={aim.weight}
                  onChange={(weight) => {
                    changeAim({ weight });
                  }}
                  error={error(`aims/${String(at)}/weight`)}
                />
              )}
            </>
          );
        }}
      </WishList>
      {has('closest-to-target') && (
        <div className="fields-pair">
          <NumberWish
            {...{ part, name: 'perLitre', path: 'offTarget/perLitre' }}
            label="A litre off the target counts"
            unit="each"
            hint="Empty: 1"
          />
          <NumberWish
            {...{ part, name: 'perTenthPercentVol', path: 'offTarget/perTenthPercentVol' }}
            label="0.1 % vol off it counts"
            unit="each"
            hint="Empty: as much as 1 % of the volume"
          />
        </div>
      )}
      {has('closest-to-character') && <Character part={part} vocabulary={vocabulary} />}
    </div>
  );
}

function Character({ part, vocabulary }: { part: WishFormPart; vocabulary: Vocabulary }) {
  const { wishes, change, error } = part;
  return (
    <WishList<CharacterWish>
      title="The character aimed at"
      hint={
        error('character') ??
        'Each feature with the figure wanted; being off by one step of it counts one.'
      }
      rows={wishes.character}
      onChange={(character) => {
        change({ character });
      }}
      start={() => ({
        ...EMPTY_CHARACTER,
        feature: vocabulary.scores.length > 0 ? 'score' : 'share',
      })}
      add="Add a feature"
    >
      {(feature, changeFeature) => (
        <>
          <SelectField
            label="Feature"
            value={feature.feature === 'score' ? `score:${feature.name}` : feature.attribute}
            empty="choose"
            onChange={(chosen) => {
              if (chosen.startsWith('score:'))
                changeFeature({ feature: 'score', name: chosen.slice(6) });
              else
                changeFeature({
                  feature: 'share',
                  attribute: chosen as (typeof ATTRIBUTES)[number]['value'],
                  value: '',
                });
            }}
            choices={[
              ...vocabulary.scores.map(({ name }) => ({ value: `score:${name}`, label: name })),
              ...ATTRIBUTES.map(({ value, label }) => ({
                value: value,
                label: `share by ${label}`,
              })),
            ]}
          />
          {feature.feature === 'share' && (
            <SelectField
              label="that is"
              value={feature.value}
              empty="choose"
              onChange={(value) => {
                changeFeature({ value });
              }}
              choices={choicesFor(vocabulary, feature.attribute, [feature.value])}
            />
          )}
          <NumberField
            label="Wanted"
            unit={feature.feature === 'share' ? '%' : 'score'}
            value={feature.target}
            onChange={(target) => {
              changeFeature({ target });
            }}
          />
          <NumberField
            label="One step is"
            unit={feature.feature === 'share' ? '%' : 'score'}
            value={feature.scale}
            onChange={(scale) => {
              changeFeature({ scale });
            }}
          />
        </>
      )}
    </WishList>
  );
}
