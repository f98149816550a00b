import { attachmentsApi } from './attachments.ts';
import { blendsApi } from './blends.ts';
import { booksApi } from './books.ts';
import { bottlingsApi } from './bottlings.ts';
import { casksApi } from './casks.ts';
import { epcisApi } from './epcis.ts';
import { importsApi } from './imports.ts';
import { jobsApi } from './jobs.ts';
import { journalApi } from './journal.ts';
import { labelsApi } from './labels.ts';
import { lineageApi } from './lineage.ts';
import { maturationApi } from './maturation.ts';
import { ownersApi } from './owners.ts';
import { placesApi } from './places.ts';
import { sessionApi } from './session.ts';
import { stocktakesApi } from './stocktakes.ts';

/** Every endpoint of the program, by feature. Server, client, OpenAPI and the tests all walk this one table. */
export const api = {
  session: sessionApi,
  journal: journalApi,
  attachments: attachmentsApi,
  casks: casksApi,
  places: placesApi,
  lineage: lineageApi,
  maturation: maturationApi,
  jobs: jobsApi,
  labels: labelsApi,
  stocktakes: stocktakesApi,
  blends: blendsApi,
  books: booksApi,
  owners: ownersApi,
  imports: importsApi,
  epcis: epcisApi,
  bottlings: bottlingsApi,
} as const;
