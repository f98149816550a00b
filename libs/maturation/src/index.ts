export * from './types.ts';
export * from './answers.ts';
export {
  addYears,
  civilFromDay,
  dayFromCivil,
  dayNumber,
  firstDayOfMonth,
  isoDate,
  monthIndex,
  monthIndexOfDay,
  monthLabel,
} from './calendar.ts';
