import { useMutation } from '@tanstack/react-query';
import { useState } from 'react';
import { api, client, queries } from '../../data/client.ts';
import { Button, Failed, format, Mark, Notice, TextField } from '../../kit/kit.ts';

/** recovery codes left at which one is told to make new ones */
const FEW = 3;

export function EndSecondStep({ recoveryCodesLeft }: { recoveryCodesLeft: number }) {
  const [password, setPassword] = useState('');
  const [code, setCode] = useState('');
  const end = useMutation({
    mutationFn: () => client.call(api.session.endSecondStep, { body: { password, code } }),
    onSuccess: () => void queries.invalidateQueries(),
  });
  const left = format.count(recoveryCodesLeft, 'recovery code');
  return (
    <form
      className="stack"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        end.mutate();
      }}
    >
      <p className="line">
        <Mark tone="good">on</Mark> {left} left.
      </p>
      {recoveryCodesLeft <= FEW && (
        <Notice tone="caution">For new ones, end the second step and set it up again.</Notice>
      )}
      <TextField
        label="Password, to end it"
        type="password"
        value={password}
        onChange={setPassword}
        autoComplete="current-password"
      />
      <TextField
        label="Code of your authenticator"
        hint="Or one of your recovery codes"
        value={code}
        onChange={setCode}
        autoComplete="one-time-code"
      />
      {end.isError && <Failed error={end.error} />}
      <div className="form-foot">
        <Button
          kind="grave"
          type="submit"
          busy={end.isPending}
          disabled={password === '' || code.trim() === ''}
        >
          End the second step
        </Button>
      </div>
    </form>
  );
}
