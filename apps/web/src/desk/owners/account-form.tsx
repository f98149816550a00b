import type { Account } from '@rundlet/contracts';
import { useState } from 'react';
import { ActOutcome } from '../../acts/act-outcome.tsx';
import { newId } from '../../acts/act.ts';
import { useAct } from '../../acts/use-act.ts';
import { Button, ChoiceField, TextField } from '../../kit/kit.ts';

/** Opens an account for somebody whose alcohol lies here. */
export function AccountForm() {
  const act = useAct('account.register');
  const [kind, setKind] = useState<Account['kind']>('customer');
  const [code, setCode] = useState('');
  const [name, setName] = useState('');
  const [remark, setRemark] = useState('');
  const submit = async () => {
    const done = await act.run(
      { id: newId(), code, name, kind, remark: remark.trim() === '' ? null : remark },
      `New account ${name}`,
    );
    if (done?.status !== 'applied') return;
    setCode('');
    setName('');
    setRemark('');
  };
  return (
    <form
      className="stack"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        void submit();
      }}
    >
      <ChoiceField
        label="Whose stock"
        value={kind}
        onChange={setKind}
        choices={[
          { value: 'customer', label: 'A customer’s' },
          { value: 'own', label: 'Our own' },
        ]}
      />
      <div className="grid">
        <TextField
          label="Code"
          hint="Short, in capitals"
          value={code}
          onChange={(text) => {
            setCode(text.toUpperCase());
          }}
          error={act.errors.at('/code')}
        />
        <TextField label="Name" value={name} onChange={setName} error={act.errors.at('/name')} />
        <TextField
          label="Remark"
          value={remark}
          onChange={setRemark}
          error={act.errors.at('/remark')}
        />
      </div>
      <ActOutcome act={act} pointers={['/code', '/name', '/remark']} applied="Opened" />
      <div>
        <Button type="submit" busy={act.busy} disabled={code === '' || name.trim() === ''}>
          Open the account
        </Button>
      </div>
    </form>
  );
}
