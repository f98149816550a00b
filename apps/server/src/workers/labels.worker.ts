/** Draws labels and writes them as PDF, SVG, PNG or printer language. */
import { serveTasks } from '../jobs/serve-tasks.ts';
import { checkLabels, renderLabels } from '../labels/render-labels.ts';

const tasks = { render: renderLabels, check: checkLabels };

export type LabelTasks = typeof tasks;
serveTasks(tasks);
