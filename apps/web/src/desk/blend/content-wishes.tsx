import { NumberField, SelectField } from '../../kit/kit.ts';
import type { WishFormPart } from './number-wish.tsx';
import { choicesFor, type Vocabulary } from './vocabulary.ts';
import { ATTRIBUTES, BASES } from './wish-words.ts';
import { WishList } from './wish-list.tsx';
import type { DistinctWish, EachWish, RuleWish, ScoreWish, ShareWish } from './wishes.ts';

/** Floors and caps on shares: “at most 30 % from casks that held wine”, “no single lot above 40 %”. */
export function ShareWishes({ part, vocabulary }: { part: WishFormPart; vocabulary: Vocabulary }) {
  const { wishes, change, error } = part;
  return (
    <>
      <WishList<ShareWish>
        title="Floors and caps"
        rows={wishes.shares}
        onChange={(shares) => {
          change({ shares });
        }}
        start={() => ({
          attribute: 'previousContents',
          value: '',
          of: 'alcohol',
          atLeastPercent: null,
          atMostPercent: null,
        })}
        add="Add a share"
      >
        {(share, changeShare, at) => (
          <>
            <SelectField
              label="Share of"
              value={share.of}
              onChange={(of) => {
                changeShare({ of });
              }}
              choices={BASES}
            />
            <SelectField
              label="from"
              value={share.attribute}
              onChange={(attribute) => {
                changeShare({ attribute, value: '' });
              }}
              choices={ATTRIBUTES}
            />
            <SelectField
              label="that is"
              value={share.value}
              empty="choose"
              onChange={(value) => {
                changeShare({ value });
              }}
              choices={choicesFor(vocabulary, share.attribute, [share.value])}
            />
            <NumberField
              label="at least"
              unit="%"
              value={share.atLeastPercent}
              onChange={(atLeastPercent) => {
                changeShare({ atLeastPercent });
              }}
              error={error(`shares/${String(at)}/atLeastPercent`)}
            />
            <NumberField
              label="at most"
              unit="%"
              value={share.atMostPercent}
              onChange={(atMostPercent) => {
                changeShare({ atMostPercent });
              }}
              error={error(`shares/${String(at)}/atMostPercent`)}
            />
          </>
        )}
      </WishList>
      <WishList<EachWish>
        title="No single one above a share"
        rows={wishes.each}
        onChange={(each) => {
          change({ each });
        }}
        start={() => ({ attribute: 'spiritLot', of: 'alcohol', atMostPercent: null })}
        add="Add such a cap"
      >
        {(each, changeEach, at) => (
          <>
            <SelectField
              label="No single"
              value={each.attribute}
              onChange={(attribute) => {
                changeEach({ attribute });
              }}
              choices={ATTRIBUTES}
            />
            <NumberField
              label="above"
              unit="%"
              value={each.atMostPercent}
              onChange={(atMostPercent) => {
                changeEach({ atMostPercent });
              }}
              error={error(`eachShare/${String(at)}/atMostPercent`)}
            />
            <SelectField
              label="of the"
              value={each.of}
              onChange={(of) => {
                changeEach({ of });
              }}
              choices={BASES}
            />
          </>
        )}
      </WishList>
    </>
  );
}

/** “At least 3 plots, each from 5 % on”, “at most 2 spirit lots”. */
export function DistinctWishes({ part }: { part: WishFormPart }) {
  const { wishes, change, error } = part;
  return (
    <WishList<DistinctWish>
      title="How many different"
      rows={wishes.distinct}
      onChange={(distinct) => {
        change({ distinct });
      }}
      start={() => ({ attribute: 'plot', atLeast: null, atMost: null, leastSharePercent: null })}
      add="Add a count"
    >
      {(distinct, changeDistinct, at) => (
        <>
          <SelectField
            label="Different by"
            value={distinct.attribute}
            onChange={(attribute) => {
              changeDistinct({ attribute });
            }}
            choices={ATTRIBUTES}
          />
          <NumberField
            label="at least"
            unit="of them"
            value={distinct.atLeast}
            onChange={(atLeast) => {
              changeDistinct({ atLeast });
            }}
            error={error(`distinct/${String(at)}/atLeast`)}
          />
          <NumberField
            label="at most"
            unit="of them"
            value={distinct.atMost}
            onChange={(atMost) => {
              changeDistinct({ atMost });
            }}
            error={error(`distinct/${String(at)}/atMost`)}
          />
          {distinct.atLeast !== null && (
            <NumberField
              label="each counting from"
              unit="% alcohol"
              value={distinct.leastSharePercent}
              onChange={(leastSharePercent) => {
                changeDistinct({ leastSharePercent });
              }}
              error={error(`distinct/${String(at)}/leastSharePercent`)}
            />
          )}
        </>
      )}
    </WishList>
  );
}

/** Casks that come into question at all: only these woods, none of that lot. */
export function RuleWishes({ part, vocabulary }: { part: WishFormPart; vocabulary: Vocabulary }) {
  const { wishes, change } = part;
  return (
    <WishList<RuleWish>
      title="Only casks of, no cask of"
      rows={wishes.rules}
      onChange={(rules) => {
        change({ rules });
      }}
      start={() => ({ rule: 'only', attribute: 'woodSpecies', values: [] })}
      add="Add a rule"
    >
      {(rule, changeRule) => {
        const choices = choicesFor(vocabulary, rule.attribute, rule.values);
        return (
          <>
            <SelectField
              label="Rule"
              value={rule.rule}
              onChange={(kind) => {
                changeRule({ rule: kind });
              }}
              choices={[
                { value: 'only', label: 'only casks of' },
                { value: 'none', label: 'no cask of' },
              ]}
            />
            <SelectField
              label="by"
              value={rule.attribute}
              onChange={(attribute) => {
                changeRule({ attribute, values: [] });
              }}
              choices={ATTRIBUTES}
            />
            <div className="wide stack-tight">
              <SelectField
                label={rule.values.length === 0 ? 'that is' : 'or that is'}
                value=""
                empty="choose"
                onChange={(value) => {
                  if (value !== '') changeRule({ values: [...rule.values, value] });
                }}
                choices={choices.filter(({ value }) => !rule.values.includes(value))}
              />
              {rule.values.length > 0 && (
                <p className="small">
                  {rule.values
                    .map((value) => choices.find((c) => c.value === value)?.label ?? value)
                    .join(' or ')}
                </p>
              )}
            </div>
          </>
        );
      }}
    </WishList>
  );
}

/** Means of a panel's or a laboratory's figures. */
export function ScoreWishes({ part, vocabulary }: { part: WishFormPart; vocabulary: Vocabulary }) {
  const { wishes, change } = part;
  if (vocabulary.scores.length === 0 && wishes.scores.length === 0)
    return (
      <p className="soft">
        No maturing cask has a panel’s score or a laboratory’s figure yet. Enter results at the
        cask, and they can be asked for here.
      </p>
    );
  return (
    <WishList<ScoreWish>
      title="Mean of the blend, weighed by alcohol"
      hint="A cask without the score stays out."
      rows={wishes.scores}
      onChange={(scores) => {
        change({ scores });
      }}
      start={() => ({ name: vocabulary.scores[0]?.name ?? '', low: null, high: null })}
      add="Add a score"
    >
      {(score, changeScore) => {
        const unit = vocabulary.scores.find(({ name }) => name === score.name)?.unit ?? 'score';
        return (
          <>
            <div className="wide">
              <SelectField
                label="Score"
                value={score.name}
                empty="choose"
                onChange={(name) => {
                  changeScore({ name });
                }}
                choices={vocabulary.scores.map(({ name, casks }) => ({
                  value: name,
                  label: `${name} (${String(casks)} casks)`,
                }))}
              />
            </div>
            <NumberField
              label="at least"
              unit={unit}
              value={score.low}
              onChange={(low) => {
                changeScore({ low });
              }}
            />
            <NumberField
              label="at most"
              unit={unit}
              value={score.high}
              onChange={(high) => {
                changeScore({ high });
              }}
            />
          </>
        );
      }}
    </WishList>
  );
}
