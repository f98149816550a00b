import { CreateTables1782900000000 } from './1782900000000-create-tables.ts';
import { LabelsOfTheSite1783100000000 } from './1783100000000-labels-of-the-site.ts';
import { AddCheckpoints1783200000000 } from './1783200000000-add-checkpoints.ts';
import { CreateCaskResults1783300000000 } from './1783300000000-create-cask-results.ts';
import { AddBottlingRuns1783400000000 } from './1783400000000-add-bottling-runs.ts';
import { RebuildState1783500000000 } from './1783500000000-rebuild-state.ts';
import { CloseMonths1783700000000 } from './1783700000000-close-months.ts';
import { BottlingsByLot1783800000000 } from './1783800000000-bottlings-by-lot.ts';
import { RebuildState1783900000000 } from './1783900000000-rebuild-state.ts';
import { AddSecondStep1784500000000 } from './1784500000000-add-second-step.ts';
import { CorrectSteps1786500000000 } from './1786500000000-correct-steps.ts';
import { ShareJobs1787000000000 } from './1787000000000-share-jobs.ts';
import { KeepSums1787500000000 } from './1787500000000-keep-sums.ts';
import { TellDutyStatus1788000000000 } from './1788000000000-tell-duty-status.ts';
import { WidenIndexes1788200000000 } from './1788200000000-widen-indexes.ts';
import { AnalyseWidened1788300000000 } from './1788300000000-analyse-widened.ts';

/** Every migration, oldest first; one list for both databases. */
export const MIGRATIONS = [
  CreateTables1782900000000,
  LabelsOfTheSite1783100000000,
  AddCheckpoints1783200000000,
  CreateCaskResults1783300000000,
  AddBottlingRuns1783400000000,
  RebuildState1783500000000,
  CloseMonths1783700000000,
  BottlingsByLot1783800000000,
  RebuildState1783900000000,
  AddSecondStep1784500000000,
  CorrectSteps1786500000000,
  ShareJobs1787000000000,
  KeepSums1787500000000,
  TellDutyStatus1788000000000,
  WidenIndexes1788200000000,
  AnalyseWidened1788300000000,
];
