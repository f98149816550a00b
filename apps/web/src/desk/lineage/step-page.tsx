import { useParams } from 'wouter';
import { Empty, LinkButton, Page } from '../../kit/kit.ts';
import { StepForm } from './step-form.tsx';
import { isStepKind, STEP } from './steps.ts';

/** Records one step of the chain: a plot, a harvest lot, a ferment, a run or a spirit lot. */
export default function StepPage() {
  const { kind = '' } = useParams<{ kind: string }>();
  if (!isStepKind(kind)) return <NoSuchStep />;
  return (
    <Page
      title={`Record ${STEP[kind].a}`}
      lead="What is recorded stays in the journal; what was wrong is corrected on its page by another entry."
      narrow
      actions={<LinkButton to="/origins">Plots and lots</LinkButton>}
    >
      <StepForm key={kind} kind={kind} />
    </Page>
  );
}

export function NoSuchStep() {
  return (
    <Page title="Plots and spirit lots">
      <Empty title="There is no such step">
        Choose one from the <LinkButton to="/origins">page of plots and lots</LinkButton>.
      </Empty>
    </Page>
  );
}
