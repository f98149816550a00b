import { useState } from 'react';
import { api, useApi } from '../../data/client.ts';
import { Button, Card, Dialog, format, Loaded, Mark, Page, Table } from '../../kit/kit.ts';
import { DeviceForm, RevokeDevice } from './device-form.tsx';
import { PersonForm } from './person-form.tsx';
import type { ListedPerson } from '@rundlet/contracts';

export const ROLE_WORDS = {
  read: 'reads everything',
  warehouse: 'warehouse work',
  blend: 'blending',
  keep: 'keeping: approve, reverse',
  administer: 'administration',
} as const;

/** Who may sign in and do what, and the tokens of scanners and programs. */
export default function PeoplePage() {
  const people = useApi(api.session.people);
  const devices = useApi(api.session.devices);
  const [shown, setShown] = useState<ListedPerson | 'new' | null>(null);
  return (
    <Page
      title="People and devices"
      actions={
        <Button
          kind="main"
          icon="person"
          onClick={() => {
            setShown('new');
          }}
        >
          Add a person
        </Button>
      }
    >
      <Card title="People">
        <Loaded query={people}>
          {({ rows }) => (
            <Table
              caption="People who may sign in"
              rows={rows}
              rowKey={(p) => p.id}
              columns={[
                { key: 'name', title: 'Name', cell: (p) => p.name },
                { key: 'sign-in', title: 'Signs in as', cell: (p) => p.signInName },
                {
                  key: 'roles',
                  title: 'May do',
                  cell: (p) => p.roles.map((r) => ROLE_WORDS[r]).join(', '),
                },
                {
                  key: 'state',
                  title: 'May sign in',
                  cell: (p) =>
                    p.disabled ? (
                      <Mark tone="bad">may not sign in</Mark>
                    ) : (
                      <Mark tone="good">may sign in</Mark>
                    ),
                },
                {
                  key: 'second-step',
                  title: 'Second step',
                  cell: (p) => (p.secondStep ? 'on' : 'off'),
                },
                {
                  key: 'change',
                  title: 'Change',
                  cell: (p) => (
                    <Button
                      kind="quiet"
                      onClick={() => {
                        setShown(p);
                      }}
                    >
                      Change
                    </Button>
                  ),
                },
              ]}
            />
          )}
        </Loaded>
      </Card>
      <Card title="Devices">
        <div className="stack">
          <Loaded query={devices}>
            {({ rows }) => (
              <Table
                caption="Device tokens"
                rows={rows}
                rowKey={(d) => d.id}
                columns={[
                  { key: 'label', title: 'Device', cell: (d) => d.label },
                  {
                    key: 'roles',
                    title: 'May do',
                    cell: (d) => d.roles.map((r) => ROLE_WORDS[r]).join(', '),
                  },
                  { key: 'used', title: 'Last used', cell: (d) => format.dateTime(d.lastUsedAt) },
                  {
                    key: 'state',
                    title: 'State',
                    cell: (d) =>
                      d.revoked ? <Mark tone="bad">revoked</Mark> : <RevokeDevice id={d.id} />,
                  },
                ]}
              />
            )}
          </Loaded>
          <DeviceForm />
        </div>
      </Card>
      <Dialog
        title={shown === 'new' ? 'Add a person' : 'Change a person'}
        open={shown !== null}
        onClose={() => {
          setShown(null);
        }}
      >
        {shown && (
          <PersonForm
            person={shown === 'new' ? null : shown}
            onDone={() => {
              setShown(null);
            }}
          />
        )}
      </Dialog>
    </Page>
  );
}
