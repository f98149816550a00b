import { Page } from '../../kit/kit.ts';

export default function ScanPage() {
  return <Page title="Scan" children={null} />;
}
