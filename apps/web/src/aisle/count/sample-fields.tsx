import { mostWrong, sampleFor } from '@rundlet/domain';
import { CheckField, format, NumberField, Notice, TextField } from '../../kit/kit.ts';

export interface SampleDraft {
  on: boolean;
  casks: number | null;
  seed: string;
}
const CONFIDENCE = 0.95;
/** Shares of wrong casks people ask about. */
const TOLERATED = [0.05, 0.02, 0.01];

/** A random sample instead of every cask, with what it will be able to say before anybody walks. */
export function SampleFields({
  sample,
  onChange,
  population,
  error,
}: {
  sample: SampleDraft;
  onChange: (sample: SampleDraft) => void;
  /** Casks in the scope by what is known here. */
  population: number;
  error: string | undefined;
}) {
  return (
    <>
      <CheckField
        checked={sample.on}
        onChange={(on) => {
          onChange({ ...sample, on });
        }}
      >
        Count a random sample only
      </CheckField>
      {sample.on && (
        <>
          <NumberField
            label="Casks to draw"
            unit="casks"
            value={sample.casks}
            onChange={(casks) => {
              onChange({ ...sample, casks });
            }}
            error={error}
          />
          <TextField
            label="Words to draw by"
            hint="Anybody can draw the same casks again with them and see that nobody chose"
            value={sample.seed}
            onChange={(seed) => {
              onChange({ ...sample, seed });
            }}
          />
          {population > 0 && <SampleSays casks={sample.casks} population={population} />}
        </>
      )}
    </>
  );
}

function SampleSays({ casks, population }: { casks: number | null; population: number }) {
  const drawn = casks !== null && Number.isInteger(casks) && casks > 0 ? casks : null;
  const possible = drawn !== null && drawn <= population;
  const bound = (wrong: number): string => {
    const most = mostWrong(population, drawn ?? 0, wrong, CONFIDENCE);
    return `${format.number(most)} (${format.percent(most / population)})`;
  };
  return (
    <Notice title={`What it can say about ${format.count(population, 'cask')}`}>
      {possible && (
        <>
          If all {format.number(drawn)} stand where the book has them, then at{' '}
          {format.percent(CONFIDENCE, 0)} confidence at most {bound(0)} casks do not
          {drawn > 1 && <>; if one of them does not, at most {bound(1)}</>}.{' '}
        </>
      )}
      {drawn !== null && !possible && 'That is more than there are: count them all instead. '}
      To be able to say that at most{' '}
      {TOLERATED.map((share, i) => (
        <span key={share}>
          {i > 0 && ', '}
          {format.percent(share, 0)} are wrong takes{' '}
          {format.number(sampleFor(population, Math.floor(share * population), CONFIDENCE))}
        </span>
      ))}{' '}
      casks, all of them right.
      <br />
      <span className="small soft">
        Exact bound for drawing without replacement (hypergeometric, after Clopper and Pearson,
        Biometrika 26, 1934). With very many casks it comes to the rule of three: none wrong in n
        says at most about 3/n.
      </span>
    </Notice>
  );
}
