/** Writes papers to be signed and kept. */
import { serveTasks } from '../jobs/serve-tasks.ts';
import { sheetPdf } from '../stocktakes/sheet-pdf.ts';

const tasks = { sheet: sheetPdf };

export type PaperTasks = typeof tasks;
serveTasks(tasks);
