import { AimWishes } from './aim-wishes.tsx';
import { CaskWishes, DrawWishes, WaterWishes } from './cask-wishes.tsx';
import { DistinctWishes, RuleWishes, ScoreWishes, ShareWishes } from './content-wishes.tsx';
import { HandWishes } from './hand-wishes.tsx';
import { NumberWish, type WishFormPart } from './number-wish.tsx';
import { VatWishes } from './vat-wishes.tsx';
import { useVocabulary } from './vocabulary.ts';
import { WishSection } from './wish-list.tsx';
import type { Wishes } from './wishes.ts';
import './wish-row.css';

const CASK_KEYS = [
  'youngestYears',
  'oldestYears',
  'leastMeanYears',
  'leastStrength',
  'mostStrength',
  'leastCasks',
  'mostCasks',
  'mostRows',
  'mostCost',
] as const satisfies readonly (keyof Wishes)[];

/** What the blender asks for. A field left empty is a wish not made. */
export function WishForm({
  wishes,
  onChange,
  errors,
}: {
  wishes: Wishes;
  onChange: (wishes: Wishes) => void;
  errors: ReadonlyMap<string, string> | null;
}) {
  const vocabulary = useVocabulary();
  const part: WishFormPart = {
    wishes,
    change: (more) => {
      onChange({ ...wishes, ...more });
    },
    error: (path) => errors?.get(path),
  };
  const byHand =
    wishes.include.length +
    wishes.exclude.length +
    wishes.locks.length +
    wishes.admitHolds.length +
    (wishes.dutyStatus === 'suspended' ? 0 : 1);
  return (
    <div className="stack">
      <VatWishes part={part} />
      <DrawWishes part={part} />
      <AimWishes {...{ part, vocabulary }} />
      <div>
        <WishSection
          title="Ages, strengths, how many casks"
          made={CASK_KEYS.filter((key) => wishes[key] !== null).length}
        >
          <CaskWishes part={part} />
        </WishSection>
        {wishes.water === 'allowed' && (
          <WishSection
            title="How much water"
            made={
              [wishes.leastWaterLitres, wishes.mostWaterLitres].filter((v) => v !== null).length
            }
          >
            <WaterWishes part={part} />
          </WishSection>
        )}
        <WishSection title="Shares" made={wishes.shares.length + wishes.each.length}>
          <ShareWishes {...{ part, vocabulary }} />
        </WishSection>
        <WishSection title="How many different" made={wishes.distinct.length}>
          <DistinctWishes part={part} />
        </WishSection>
        <WishSection title="Only these, none of those" made={wishes.rules.length}>
          <RuleWishes {...{ part, vocabulary }} />
        </WishSection>
        <WishSection title="Scores and laboratory figures" made={wishes.scores.length}>
          <ScoreWishes {...{ part, vocabulary }} />
        </WishSection>
        <WishSection title="Casks by hand, holds, duty" made={byHand}>
          <HandWishes {...{ part, vocabulary }} />
        </WishSection>
        <WishSection title="The search" made={0}>
          <div className="fields-pair">
            <NumberWish
              {...{ part, name: 'alternatives', path: 'alternatives' }}
              label="Other plans to compare"
              unit="plans"
            />
            <NumberWish
              {...{ part, name: 'timeLimitSeconds', path: 'timeLimitSeconds' }}
              label="Search for at most"
              unit="s"
              hint="Then the best plan so far is given, with how far from best it may be."
            />
          </div>
        </WishSection>
      </div>
    </div>
  );
}
