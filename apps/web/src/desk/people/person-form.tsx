import { RefusedError } from '@rundlet/client';
import { ROLES, type ListedPerson, type Role } from '@rundlet/contracts';
import { useMutation } from '@tanstack/react-query';
import { useState } from 'react';
import { api, client, queries } from '../../data/client.ts';
import { Button, CheckField, Failed, fieldErrors, TextField } from '../../kit/kit.ts';
import { ROLE_WORDS } from './people-page.tsx';

/** A new person, or another's name, roles, password and leave to sign in. */
export function PersonForm({
  person,
  onDone,
}: {
  person: ListedPerson | null;
  onDone: () => void;
}) {
  const [name, setName] = useState(person?.name ?? '');
  const [signInName, setSignInName] = useState(person?.signInName ?? '');
  const [password, setPassword] = useState('');
  const [roles, setRoles] = useState<readonly Role[]>(person?.roles ?? ['read']);
  const [lost, setLost] = useState(false);
  const [disabled, setDisabled] = useState(person?.disabled ?? false);
  const save = useMutation({
    mutationFn: () =>
      person
        ? client.call(api.session.changePerson, {
            params: { id: person.id },
            body: {
              name,
              roles: [...roles],
              disabled,
              ...(password ? { password } : {}),
              ...(lost ? { secondStep: false as const } : {}),
            },
          })
        : client.call(api.session.addPerson, {
            body: { name, signInName, password, roles: [...roles] },
          }),
    onSuccess: () => {
      void queries.invalidateQueries();
      onDone();
    },
  });
  const errors = fieldErrors(save.error instanceof RefusedError ? save.error.problem : null);
  return (
    <form
      className="stack"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        save.mutate();
      }}
    >
      <TextField
        label="Name"
        value={name}
        onChange={setName}
        error={errors.at('/name')}
        autoFocus
      />
      {!person && (
        <TextField
          label="Signs in as"
          value={signInName}
          onChange={setSignInName}
          error={errors.at('/signInName')}
          autoComplete="off"
        />
      )}
      <TextField
        label={person ? 'New password' : 'Password'}
        hint={
          person
            ? 'Leave empty to keep the old one.'
            : 'At least 15 characters; a few unrelated words are good.'
        }
        type="password"
        value={password}
        onChange={setPassword}
        error={errors.at('/password')}
        autoComplete="new-password"
      />
      <fieldset className="field">
        <legend className="field-label">May do</legend>
        {ROLES.map((role) => (
          <CheckField
            key={role}
            checked={roles.includes(role)}
            onChange={(on) => {
              setRoles(on ? [...roles, role] : roles.filter((r) => r !== role));
            }}
          >
            {ROLE_WORDS[role]}
          </CheckField>
        ))}
      </fieldset>
      {person?.secondStep && (
        <CheckField checked={lost} onChange={setLost}>
          Phone lost: take the second step off
        </CheckField>
      )}
      {person && (
        <CheckField checked={disabled} onChange={setDisabled}>
          May not sign in any more
        </CheckField>
      )}
      {save.isError && <Failed error={save.error} />}
      <div className="form-foot">
        <Button kind="main" type="submit" busy={save.isPending}>
          {person ? 'Keep the changes' : 'Add'}
        </Button>
      </div>
    </form>
  );
}
