import type { BlendAnswer, BlendRequest } from '@rundlet/contracts';
import { useState } from 'react';
import { Button, Card, format, Notice, type Tone } from '../../kit/kit.ts';
import { conflictLead } from './conflict-words.ts';
import { ChoiceView } from './choice-view.tsx';
import { ComparePlans } from './compare-plans.tsx';
import type { Replan } from './parts-table.tsx';
import { SavePlan } from './save-plan.tsx';

const WORDS: Record<BlendAnswer['status'], { tone: Tone; title: string }> = {
  'proven-best': { tone: 'good', title: 'Proven best' },
  'within-gap': { tone: 'good', title: 'A good plan' },
  infeasible: { tone: 'bad', title: 'No choice of casks meets all the wishes' },
  'no-plan-found': { tone: 'caution', title: 'No plan found in the time given' },
  failed: { tone: 'bad', title: 'The search failed' },
  cancelled: { tone: 'caution', title: 'The search was stopped' },
};

/** The planner's answer: how sure, which casks, how much water, what comes of it; or why there is none. */
export function AnswerView({
  answer,
  request,
  onReplan,
  onRelax,
}: {
  answer: BlendAnswer;
  /** Given where the answer is new: its plans can then be kept and planned again. */
  request?: BlendRequest;
  onReplan?: (replan: Replan) => void;
  onRelax?: (relaxed: BlendRequest) => void;
}) {
  const [chosen, setChosen] = useState(0);
  const { tone, title } = WORDS[answer.status];
  const plan = answer.plans[chosen] ?? answer.plans[0];
  return (
    <div className="stack">
      <Notice tone={tone} live title={title}>
        {answer.message}{' '}
        {answer.candidates > 0 &&
          `${format.count(answer.candidates, 'cask')} looked at in ${format.number(answer.seconds, 1)} s.`}
      </Notice>
      {answer.conflict.length > 0 && <Conflict conflict={answer.conflict} onRelax={onRelax} />}
      {answer.plans.length > 1 && (
        <ComparePlans plans={answer.plans} chosen={chosen} onChoose={setChosen} />
      )}
      {plan && (
        <ChoiceView
          key={chosen}
          plan={plan}
          name={answer.plans.length > 1 ? `Plan ${String(chosen + 1)}` : 'The vat'}
          onReplan={onReplan}
        />
      )}
      {plan && request && <SavePlan key={`save${String(chosen)}`} {...{ answer, plan, request }} />}
      <div className="columns">
        {answer.sensitivity.length > 0 && <Sensitivity of={answer.sensitivity} />}
        {answer.excluded.length > 0 && (
          <Card title="Casks not considered">
            <ul>
              {answer.excluded.map((e) => (
                <li key={e.reason}>
                  {format.count(e.casks, 'cask')}: {e.reason}
                </li>
              ))}
            </ul>
          </Card>
        )}
      </div>
    </div>
  );
}

function Conflict({
  conflict,
  onRelax,
}: {
  conflict: BlendAnswer['conflict'];
  onRelax: ((relaxed: BlendRequest) => void) | undefined;
}) {
  return (
    <Card
      title={
        conflict.length === 1
          ? 'The wish that cannot be met'
          : 'These wishes cannot all be met together'
      }
    >
      <div className="stack">
        <p>{conflictLead(conflict)}</p>
        <ul className="conflict">
          {conflict.map((c) => (
            <li key={c.wishId}>
              <strong>{c.wish}</strong>
              <br />
              {c.relaxation === null
                ? 'The least change was not settled in the time given.'
                : c.enoughAlone === false
                  ? 'Giving this up alone is not enough.'
                  : `Least change that opens a plan: ${c.relaxation}`}
              {c.relaxed && onRelax && (
                <div>
                  <Button
                    icon="blend"
                    aria-label={`Change it and plan again: ${c.wish}`}
                    onClick={() => {
                      onRelax(c.relaxed!);
                    }}
                  >
                    Change it and plan again
                  </Button>
                </div>
              )}
            </li>
          ))}
        </ul>
      </div>
    </Card>
  );
}

function Sensitivity({ of }: { of: BlendAnswer['sensitivity'] }) {
  return (
    <Card title="What a little more would cost, and what the tolerances are worth">
      <ul className="bare-list stack-tight">
        {of.map((s) => (
          <li key={s.what} className="price">
            <span>{s.what}</span>
            <span className="number">
              {s.costs === null
                ? 'no plan meets it'
                : Math.abs(s.costs) < 5e-4
                  ? 'nothing'
                  : `${format.signed(s.costs, decimalsFor(s.costs))} ${s.unit}`}
              {s.plusMinus >= 0.005 && ` ± ${format.number(s.plusMinus, decimalsFor(s.plusMinus))}`}
            </span>
          </li>
        ))}
      </ul>
    </Card>
  );
}

const decimalsFor = (value: number): number => (Math.abs(value) >= 100 ? 0 : 2);
