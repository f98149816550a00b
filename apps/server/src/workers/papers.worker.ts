/** Writes papers to be signed, sent or kept. */
import { serveTasks } from '../jobs/serve-tasks.ts';
import { reportPdf } from '../reports/report-pdf.ts';
import { sheetPdf } from '../stocktakes/sheet-pdf.ts';

const tasks = { sheet: sheetPdf, report: reportPdf };

export type PaperTasks = typeof tasks;
serveTasks(tasks);
