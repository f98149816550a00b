import { lazy, Suspense } from 'react';
import { Loading } from '../../kit/kit.ts';

const Reader = lazy(() => import('../reader/reader.tsx').then((m) => ({ default: m.Reader })));

/** The reader inside a dialog; loaded when it is opened. */
export function ReaderDialog({ onText }: { onText: (text: string) => void }) {
  return (
    <Suspense fallback={<Loading what="Opening the reader" />}>
      <Reader label="Code" onText={onText} />
    </Suspense>
  );
}
