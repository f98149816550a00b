import { Module } from '@nestjs/common';
import { Accuracy } from './accuracy.ts';
import { Sheets } from './sheets.ts';
import { StocktakeProgressOf } from './stocktake-progress.ts';
import { StocktakesController } from './stocktakes.controller.ts';
import { StocktakeViews } from './stocktake-views.ts';

@Module({
  controllers: [StocktakesController],
  providers: [Accuracy, Sheets, StocktakeProgressOf, StocktakeViews],
})
export class StocktakesModule {}
