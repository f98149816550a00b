import { RefusedError } from '@rundlet/client';
import { useMutation } from '@tanstack/react-query';
import { useState } from 'react';
import { api, client } from '../../data/client.ts';
import { useSessionState } from '../../data/session.tsx';
import { Button, Failed, fieldErrors, TextField } from '../../kit/kit.ts';

/** A new password of one's own. Afterwards one signs in again, here and everywhere. */
export function PasswordForm() {
  const { refresh } = useSessionState();
  const [password, setPassword] = useState('');
  const [newPassword, setNewPassword] = useState('');
  const change = useMutation({
    mutationFn: () => client.call(api.session.changePassword, { body: { password, newPassword } }),
    onSuccess: () => refresh(),
  });
  const errors = fieldErrors(change.error instanceof RefusedError ? change.error.problem : null);
  return (
    <form
      className="stack"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        change.mutate();
      }}
    >
      <TextField
        label="Password until now"
        type="password"
        value={password}
        onChange={setPassword}
        autoComplete="current-password"
      />
      <TextField
        label="New password"
        hint="At least 15 characters; a few unrelated words are good."
        type="password"
        value={newPassword}
        onChange={setNewPassword}
        error={errors.at('/newPassword')}
        autoComplete="new-password"
      />
      {change.isError && errors.at('/newPassword') === undefined && <Failed error={change.error} />}
      <div className="form-foot">
        <Button
          kind="main"
          type="submit"
          busy={change.isPending}
          disabled={password === '' || newPassword === ''}
        >
          Change it and sign in again
        </Button>
      </div>
    </form>
  );
}
