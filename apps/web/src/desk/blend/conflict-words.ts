import type { BlendAnswer } from '@rundlet/contracts';

/**
 * What may be said of all the wishes that conflict. Each was tried alone, everything else asked for left as it is: where one is
 * not enough, there is another conflict that it has no part in.
 */
export function conflictLead(conflict: BlendAnswer['conflict']): string {
  const enough = conflict.filter((c) => c.enoughAlone === true).length;
  const notEnough = conflict.filter((c) => c.enoughAlone === false).length;
  if (conflict.length === 1)
    return enough === 1
      ? 'This one stands in the way by itself: change it as said here, or give it up.'
      : notEnough === 1
        ? 'This one can’t be met whatever else is asked for, but without it other wishes still conflict. Change it and plan again, and what still conflicts is named.'
        : 'This one can’t be met whatever else is asked for.';
  if (enough === conflict.length)
    return 'Without any one of these the others can be met: change one as said here, or give it up.';
  if (enough > 0)
    return 'Changing one of those where a change is named opens a plan. The others are not enough alone, or were not tried in the time given.';
  return notEnough === conflict.length
    ? 'Giving up any one of these is not enough: other wishes conflict as well. Change one of them and plan again, and what still conflicts is named.'
    : 'Which of these opens a plan alone was not settled in the time given.';
}
