import type { Command } from 'commander';
import { api, BlendAnswer, BlendRequest } from '@rundlet/contracts';
import { v7 as uuid } from 'uuid';
import { jobResult, jsonOf, type Context } from '../context.ts';
import { EXIT, Failure } from '../failure.ts';

interface PlanOptions {
  readonly save?: string;
  readonly name?: string;
}

export function addPlan(program: Command, contextOf: () => Context): void {
  program
    .command('plan')
    .description(
      'choose casks for a blend from a request in JSON, as POST /api/blend-requests takes it',
    )
    .argument('<request>', 'JSON file, or - for standard input')
    .option('--save <code>', 'save the plan under this code')
    .option('--name <name>', 'with --save: the plan’s name')
    .action(async (file: string, options: PlanOptions) => {
      const context = contextOf();
      const parsed = BlendRequest.safeParse(await jsonOf(file));
      if (!parsed.success)
        throw new Failure(
          `The request is not as it should be:${parsed.error.issues.map((issue) => `\n  /${issue.path.join('/')}: ${issue.message}`).join('')}`,
          EXIT.usage,
          parsed.error.issues,
        );
      const request = parsed.data;
      const client = await context.client();
      const { jobId } = await client.call(api.blends.solve, { body: request });
      const answer = BlendAnswer.parse(await jobResult(context, jobId));
      context.answer(answer, inWords(answer));
      const [best] = answer.plans;
      if (!best) throw new Failure(`No plan: ${answer.status}.`, EXIT.negative);
      if (options.save !== undefined)
        await save(context, { request, answer, best }, options.save, options.name);
    });
}

function inWords(answer: BlendAnswer): string {
  const lines = answer.message === '' ? [] : [answer.message];
  const [best] = answer.plans;
  for (const part of best?.parts ?? [])
    lines.push(
      `  ${part.caskCode}  ${(part.positionCode ?? '').padEnd(12)} ${part.takeLitresAt20C.toFixed(1).padStart(7)} L  ${part.strengthPercentVol.toFixed(1)} % vol  ${part.ageYears.toFixed(1)} y  ${part.whole ? 'whole' : 'part'}`,
    );
  if (best) {
    const { result, interval } = best;
    lines.push(
      `Water ${best.waterLitresAt20C.toFixed(1)} L; comes to ${result.bulkLitresAt20C.toFixed(0)} L at ${result.strengthPercentVol.toFixed(2)} % vol.`,
      `Within the tolerances ${(100 * interval.chanceAsPlanned).toFixed(0)} times of 100 as planned, ${(100 * interval.chanceWithTrim).toFixed(0)} with the water trimmed at the vat.`,
    );
  }
  if (answer.gap !== null)
    lines.push(
      answer.gap === 0 ? 'Proven best.' : `At most ${(100 * answer.gap).toFixed(2)} % from best.`,
    );
  for (const [i, plan] of answer.plans.slice(1).entries())
    lines.push(
      `Another plan ${String(i + 2)}: ${String(plan.parts.length)} casks, ${String(plan.casksChanged)} changed, ${(100 * plan.lossToBest).toFixed(2)} % worse.`,
    );
  for (const { wish, relaxation } of answer.conflict)
    lines.push(`  ${wish}${relaxation === null ? '' : `: ${relaxation}`}`);
  return lines.join('\n');
}

async function save(
  context: Context,
  {
    request,
    answer,
    best,
  }: { request: BlendRequest; answer: BlendAnswer; best: BlendAnswer['plans'][number] },
  code: string,
  name = code,
): Promise<void> {
  const client = await context.client();
  await client.call(api.journal.submit, {
    body: {
      id: uuid(),
      kind: 'plan.save',
      happenedAt: new Date().toISOString(),
      body: {
        id: uuid(),
        code,
        name,
        blendOn: request.blendOn,
        targetLitresAt20C: request.target.bulkLitresAt20C,
        targetStrengthPercentVol: request.target.strengthPercentVol,
        request,
        answer: { ...answer, plans: [best] },
        parts: best.parts.map(({ fillingId, takeLitresAt20C, strengthPercentVol, whole }) => ({
          fillingId,
          bulkLitresAt20C: takeLitresAt20C,
          strengthPercentVol,
          whole,
        })),
        waterLitresAt20C: best.waterLitresAt20C,
      },
    },
  });
  context.say(`Saved as ${code}.`);
}
