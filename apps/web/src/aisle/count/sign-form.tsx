import type { Stocktake } from '@rundlet/contracts';
import { useState } from 'react';
import { ActOutcome } from '../../acts/act-outcome.tsx';
import { useAct } from '../../acts/use-act.ts';
import { Button, TextField } from '../../kit/kit.ts';

/** The second signature. Whoever opened or settled the count cannot give it. */
export function SignForm({ stocktake }: { stocktake: Stocktake }) {
  const act = useAct('stocktake.sign');
  const [statement, setStatement] = useState('Counted and settled as this sheet says');
  return (
    <form
      className="stack"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        void act.run({ stocktakeId: stocktake.id, statement }, `Sign ${stocktake.title}`);
      }}
    >
      <p className="soft small">
        A second person signs: not the one who opened or settled the count. After that nothing more
        is counted on this sheet.
      </p>
      <TextField
        label="Statement"
        value={statement}
        onChange={setStatement}
        error={act.errors.at('/statement')}
      />
      <ActOutcome act={act} pointers={['/statement']} applied="Signed" />
      <div>
        <Button type="submit" icon="check" busy={act.busy}>
          Sign the sheet
        </Button>
      </div>
    </form>
  );
}
