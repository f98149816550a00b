/** Draws labels and writes them as PDF, SVG, PNG or printer language. */
import { serveTasks } from '../jobs/serve-tasks.ts';
import { checkLabels, renderLabels, renderTest, tryTemplate } from '../labels/render-labels.ts';

const tasks = { render: renderLabels, check: checkLabels, test: renderTest, try: tryTemplate };

export type LabelTasks = typeof tasks;
serveTasks(tasks);
