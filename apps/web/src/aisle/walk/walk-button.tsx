import { useLocation } from 'wouter';
import { Button } from '../../kit/kit.ts';

export interface Listed {
  readonly id: string;
  readonly code: string;
}
/** What a list hands to the page that puts it in walking order: too much for an address. */
export interface WalkState {
  readonly casks: readonly Listed[];
}

/** From any list of casks to the same casks in the order one walks past them. */
export function WalkButton({ casks }: { casks: readonly Listed[] }) {
  const [, go] = useLocation();
  if (casks.length === 0) return null;
  return (
    <Button
      icon="move"
      onClick={() => {
        go<WalkState>('/walk', { state: { casks } });
      }}
    >
      Walking order
    </Button>
  );
}
