import { useParams } from 'wouter';
import { api, useApi } from '../../data/client.ts';
import { LinkButton, Loaded, Page } from '../../kit/kit.ts';
import { KIND_WORDS } from './kinds.ts';
import { StepForm } from './step-form.tsx';
import { NoSuchStep } from './step-page.tsx';
import { isStepKind } from './steps.ts';
import { choiceOf } from './use-step-choices.ts';

/** What is recorded of one step, to be put right with a reason. */
export default function CorrectPage() {
  const { kind = '', id = '' } = useParams<{ kind: string; id: string }>();
  const query = useApi(
    api.lineage.step,
    { params: { kind: isStepKind(kind) ? kind : 'plot', id } },
    { enabled: isStepKind(kind), staleTime: Infinity },
  );
  if (!isStepKind(kind)) return <NoSuchStep />;
  return (
    <Loaded query={query}>
      {({ step: { record }, from }) => (
        <Page
          title={`Correct ${KIND_WORDS[kind]} ${record.code}`}
          lead="The old figures stay in the journal. What was made of it is checked again with the new ones, and nothing is changed if that can’t be."
          narrow
          actions={<LinkButton to={`/origins/${kind}/${id}`}>Its page</LinkButton>}
        >
          <StepForm
            key={record.lastEntryId}
            kind={kind}
            was={{ record, madeOf: from.map(choiceOf) }}
          />
        </Page>
      )}
    </Loaded>
  );
}
