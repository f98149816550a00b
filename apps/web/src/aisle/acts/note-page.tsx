import { useState } from 'react';
import { useAct } from '../../acts/use-act.ts';
import type { CaskBrief } from '../../data/cask.ts';
import { LongTextField } from '../../kit/kit.ts';
import { ActForm } from './act-form.tsx';
import { ActPage } from './act-page.tsx';

export default function NotePage() {
  return <ActPage title="Note">{(cask) => <NoteForm key={cask.id} cask={cask} />}</ActPage>;
}

function NoteForm({ cask }: { cask: CaskBrief }) {
  const act = useAct('cask.note');
  const [text, setText] = useState('');
  return (
    <ActForm
      act={act}
      pointers={['/text']}
      button="Keep the note"
      applied="The note is in the journal"
      back={`/casks/${cask.id}`}
      onSubmit={() => void act.run({ caskId: cask.id, text }, `Note on ${cask.code}: ${text}`)}
    >
      <LongTextField
        label="What was seen, smelt or done"
        value={text}
        onChange={setText}
        rows={5}
        error={act.errors.at('/text')}
      />
    </ActForm>
  );
}
