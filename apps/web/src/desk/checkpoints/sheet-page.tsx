import './sheet.css';
import { useQuery } from '@tanstack/react-query';
import { useParams } from 'wouter';
import { api, client } from '../../data/client.ts';
import { download } from '../../data/download.ts';
import { Button, Loaded, Page } from '../../kit/kit.ts';

/** One checkpoint as a sheet for the drawer: told in words, the signed text, and the text as a code. */
export default function CheckpointSheetPage() {
  const { id = '' } = useParams<{ id: string }>();
  const letter = useQuery({
    queryKey: ['checkpoint-letter', id],
    queryFn: async () => {
      const { bytes } = await client.file(api.journal.checkpointLetter, { params: { id } });
      return new TextDecoder().decode(bytes);
    },
  });
  return (
    <Page
      title="Checkpoint"
      actions={
        <>
          <Button
            kind="main"
            icon="label"
            onClick={() => {
              print();
            }}
          >
            Print
          </Button>
          <Button
            icon="download"
            disabled={letter.data === undefined}
            onClick={() => {
              download(letter.data ?? '', 'checkpoint.txt', 'text/plain');
            }}
          >
            Save as text
          </Button>
        </>
      }
    >
      <Loaded query={letter} what="Fetching the checkpoint">
        {(text) => (
          <div className="checkpoint-sheet">
            <pre tabIndex={0}>{text}</pre>
            <img
              src={api.journal.checkpointCode.path.replace(':id', id)}
              alt="The signed text as a QR code"
            />
          </div>
        )}
      </Loaded>
    </Page>
  );
}
