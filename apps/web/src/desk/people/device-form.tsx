import { useMutation } from '@tanstack/react-query';
import { useState } from 'react';
import { api, client, queries } from '../../data/client.ts';
import { Button, Failed, Notice, TextField } from '../../kit/kit.ts';

/** A token for a scanner or a program; its secret is shown this once. */
export function DeviceForm() {
  const [label, setLabel] = useState('');
  const issue = useMutation({
    mutationFn: () =>
      client.call(api.session.addDevice, { body: { label, roles: ['read', 'warehouse'] } }),
    onSuccess: () => {
      setLabel('');
      void queries.invalidateQueries();
    },
  });
  return (
    <form
      className="stack-tight"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        issue.mutate();
      }}
    >
      <div className="line">
        <TextField
          label="Token for a device"
          hint="Such as: scanner of the lower floor"
          value={label}
          onChange={setLabel}
        />
        <Button type="submit" busy={issue.isPending} disabled={label.trim() === ''}>
          Issue a token
        </Button>
      </div>
      {issue.isError && <Failed error={issue.error} />}
      {issue.data && (
        <Notice tone="caution" live title="Write this down now; it is not shown again">
          <span className="code">{issue.data.secret}</span>
        </Notice>
      )}
    </form>
  );
}

export function RevokeDevice({ id }: { id: string }) {
  const revoke = useMutation({
    mutationFn: () => client.call(api.session.revokeDevice, { params: { id } }),
    onSuccess: () => void queries.invalidateQueries(),
  });
  return (
    <Button
      kind="grave"
      busy={revoke.isPending}
      onClick={() => {
        revoke.mutate();
      }}
    >
      Revoke
    </Button>
  );
}
