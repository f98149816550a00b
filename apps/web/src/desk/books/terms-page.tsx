import type { TermsFrom } from '@rundlet/contracts';
import { ACCOUNT_UNITS, BASE_WORDS, CAUSE_WORDS, ROUNDING_WORDS } from '@rundlet/domain';
import { api, useApi } from '../../data/client.ts';
import { useMay } from '../../data/session.tsx';
import { Card, Empty, Facts, format, Loaded, Mark, Notice, Page } from '../../kit/kit.ts';
import { TermsForm } from './terms-form.tsx';

/** What the authority sets: allowances, the rate of duty and how strength is rounded, each version with its day. */
export default function TermsPage() {
  const may = useMay();
  const query = useApi(api.books.terms);
  const today = new Date().toISOString().slice(0, 10);
  return (
    <Page
      title="Allowances and rates"
      lead="What your authority sets for the account. Nothing is assumed: without a rule a loss has no allowance, without a rate a delivery no estimate."
    >
      <Notice tone="caution" title="Check with your authority">
        These figures are the site’s own entries. The program doesn’t know your law, your permit or
        your approvals.
      </Notice>
      <Loaded query={query} what="Fetching the terms">
        {({ rows }) => {
          const current = rows.find((row) => row.effectiveFrom <= today);
          return (
            <div className="columns">
              <div className="stack">
                {rows.length === 0 && (
                  <Empty title="No terms entered yet">
                    {may('administer')
                      ? 'Enter the first beside.'
                      : 'An administrator enters them.'}
                  </Empty>
                )}
                {rows.map((row) => (
                  <Version
                    key={row.effectiveFrom}
                    row={row}
                    state={
                      row === current
                        ? 'in force'
                        : row.effectiveFrom > today
                          ? 'to come'
                          : 'replaced'
                    }
                  />
                ))}
              </div>
              {may('administer') && (
                <Card title="New terms">
                  <TermsForm key={rows[0]?.effectiveFrom ?? ''} before={rows[0]?.terms ?? null} />
                </Card>
              )}
            </div>
          );
        }}
      </Loaded>
    </Page>
  );
}

function Version({
  row: { effectiveFrom, terms },
  state,
}: {
  row: TermsFrom;
  state: 'in force' | 'to come' | 'replaced';
}) {
  const { duty } = terms;
  return (
    <Card
      title={`From ${format.date(effectiveFrom)}`}
      aside={<Mark tone={state === 'in force' ? 'good' : 'plain'}>{state}</Mark>}
    >
      <Facts
        facts={[
          ['Unit', ACCOUNT_UNITS[terms.unit].words],
          ...terms.allowances.map(
            (rule) =>
              [
                CAUSE_WORDS[rule.cause],
                `${String(rule.percent)} % ${BASE_WORDS[rule.of]}`,
              ] as const,
          ),
          terms.allowances.length === 0 ? ['Allowances', 'none entered'] : null,
          [
            'Duty',
            duty
              ? `${String(duty.rate)} ${duty.currency} a ${duty.per === 'proof-gallon' ? 'US proof gallon' : 'litre of pure alcohol'}; strength ${ROUNDING_WORDS[duty.strengthRounding]}`
              : 'no rate entered',
          ],
          terms.reference === '' ? null : ['Written down in', terms.reference],
        ]}
      />
    </Card>
  );
}
