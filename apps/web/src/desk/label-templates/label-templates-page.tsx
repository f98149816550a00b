import { api } from '@rundlet/contracts';
import { useState } from 'react';
import { useSearch } from 'wouter';
import { VapourCaution } from '../../aisle/cautions.tsx';
import { useApi } from '../../data/client.ts';
import {
  Empty,
  LinkButton,
  Loaded,
  Loading,
  Failed,
  Notice,
  Page,
  SelectField,
} from '../../kit/kit.ts';
import { TemplateEditor } from './template-editor.tsx';

/** Pick a template, change it, see the label drawn as you write. */
export default function LabelTemplatesPage() {
  const given = new URLSearchParams(useSearch()).get('id') ?? '';
  const templates = useApi(api.labels.templates, {}, { staleTime: 0 });
  const [id, setId] = useState(given);
  return (
    <Page
      title="Label templates"
      lead="Choose one, change it, and see the label drawn as you write. Saved under a name of its own it is offered for printing at once."
      actions={
        <LinkButton icon="back" to="/labels">
          Labels
        </LinkButton>
      }
    >
      <Loaded query={templates} what="Asking for the templates">
        {({ rows, faulty }) => {
          const chosen = rows.find((one) => one.id === id) ?? rows[0];
          return (
            <>
              {faulty.map((one) => (
                <Notice key={one.id} tone="bad" title={`${one.id} can’t be used`}>
                  {one.problem}
                </Notice>
              ))}
              {chosen ? (
                <>
                  <SelectField
                    label="Begin with"
                    value={chosen.id}
                    onChange={setId}
                    choices={rows.map((one) => ({
                      value: one.id,
                      label: `${one.name}${one.own ? ', your own' : ''}`,
                    }))}
                  />
                  <Opened
                    key={`${chosen.id} ${String(chosen.own)}`}
                    id={chosen.id}
                    onSaved={setId}
                  />
                </>
              ) : (
                <Empty title="There are no templates" />
              )}
            </>
          );
        }}
      </Loaded>
      <VapourCaution />
    </Page>
  );
}

function Opened({ id, onSaved }: { id: string; onSaved: (id: string) => void }) {
  const query = useApi(api.labels.template, { params: { id } }, { staleTime: 0 });
  if (query.isError) return <Failed error={query.error} />;
  if (!query.data || query.isFetching) return <Loading what="Opening the template" />;
  return <TemplateEditor given={query.data} onSaved={onSaved} />;
}
