import type { ActKind, Role } from '@rundlet/contracts';
import { ACT_ROLE } from '@rundlet/contracts';
import { mayWait } from '../../acts/act.ts';
import { useReachable } from '../../data/network.ts';
import { useMay } from '../../data/session.tsx';
import type { CaskBrief } from '../../data/cask.ts';
import { Card, LinkButton, type IconName } from '../../kit/kit.ts';

interface Action {
  path: string;
  label: string;
  icon: IconName;
  act: ActKind;
  /** When the action makes sense. */
  when: (cask: CaskBrief) => boolean;
}
const filled = (cask: CaskBrief): boolean => cask.status === 'filled';
const here = (cask: CaskBrief): boolean => cask.status !== 'retired';

export const CASK_ACTIONS: readonly Action[] = [
  { path: 'gauge', label: 'Gauge', icon: 'gauge', act: 'cask.gauge', when: filled },
  { path: 'move', label: 'Move', icon: 'move', act: 'cask.move', when: here },
  { path: 'sample', label: 'Sample', icon: 'sample', act: 'cask.sample', when: filled },
  { path: 'top-up', label: 'Top up', icon: 'drop', act: 'cask.top-up', when: filled },
  { path: 're-rack', label: 'Re-rack', icon: 'swap', act: 'cask.re-rack', when: filled },
  { path: 'empty', label: 'Disgorge', icon: 'vat', act: 'cask.disgorge', when: filled },
  { path: 'inspect', label: 'Inspect', icon: 'eye', act: 'cask.inspect', when: here },
  { path: 'result', label: 'Result', icon: 'book', act: 'cask.result', when: filled },
  { path: 'note', label: 'Note', icon: 'note', act: 'cask.note', when: () => true },
  { path: 'hold', label: 'Hold', icon: 'lock', act: 'cask.hold', when: filled },
  { path: 'measure', label: 'Measures', icon: 'gear', act: 'cask.measure', when: here },
  { path: 'alias', label: 'Add a code', icon: 'label', act: 'cask.alias', when: here },
  { path: 'owner', label: 'Owner', icon: 'person', act: 'cask.change-owner', when: filled },
  { path: 'duty', label: 'Release', icon: 'send', act: 'cask.release-duty', when: filled },
  {
    path: 'retire',
    label: 'Retire',
    icon: 'cross',
    act: 'cask.retire',
    when: (cask) => cask.status === 'empty',
  },
];

/** What can be done with this cask by this person. */
export function CaskActions({ cask }: { cask: CaskBrief }) {
  const may = useMay();
  const reachable = useReachable();
  const allowed = CASK_ACTIONS.filter(({ act, when }) => may(ACT_ROLE[act] as Role) && when(cask));
  const actions = allowed.filter(({ act }) => reachable || mayWait(act));
  const off = allowed.filter((action) => !actions.includes(action));
  return (
    <Card title="Do">
      <div className="act-grid">
        {cask.status === 'empty' && may('warehouse') && reachable && (
          <LinkButton to={`/fill?cask=${cask.code}`} icon="fill" kind="main">
            Fill
          </LinkButton>
        )}
        {actions.map(({ path, label, icon }, i) => (
          <LinkButton
            key={path}
            to={`/casks/${cask.id}/${path}`}
            icon={icon}
            kind={i === 0 && cask.status === 'filled' ? 'main' : 'plain'}
          >
            {label}
          </LinkButton>
        ))}
        {reachable && may('warehouse') && (
          <LinkButton to={`/labels?kind=cask&ids=${cask.id}`} icon="label">
            Print label
          </LinkButton>
        )}
        {reachable && cask.status === 'filled' && (
          <LinkButton to={`/forecast/casks/${cask.id}`} icon="chart">
            Forecast
          </LinkButton>
        )}
      </div>
      {off.length > 0 && (
        <p className="field-hint off-line">
          With a network again: {off.map(({ label }) => label.toLowerCase()).join(', ')}.
        </p>
      )}
    </Card>
  );
}
