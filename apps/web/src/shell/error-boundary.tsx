import { Component, type ReactNode } from 'react';
import { Button } from '../kit/button.tsx';
import { Notice } from '../kit/surface.tsx';

/** Keeps a fault in one page from taking the rest down, and says that nothing kept was lost. */
export class ErrorBoundary extends Component<{ children: ReactNode }, { error: unknown }> {
  override state: { error: unknown } = { error: null };
  static getDerivedStateFromError(error: unknown) {
    return { error };
  }
  override componentDidCatch(error: unknown) {
    console.error(error);
  }
  override render() {
    const { error } = this.state;
    if (error === null) return this.props.children;
    return (
      <div className="stack">
        <Notice
          tone="bad"
          live
          title="This page has failed"
          actions={
            <>
              <Button
                kind="main"
                onClick={() => {
                  location.reload();
                }}
              >
                Load it again
              </Button>
              <Button
                onClick={() => {
                  location.assign('/');
                }}
              >
                Go to the start
              </Button>
            </>
          }
        >
          {error instanceof Error ? error.message : 'Something unexpected happened.'} What was
          booked or kept on this device is untouched.
        </Notice>
      </div>
    );
  }
}
