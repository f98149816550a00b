import { Module } from '@nestjs/common';
import { StocktakesController } from './stocktakes.controller.ts';
import { StocktakeViews } from './stocktake-views.ts';

@Module({ controllers: [StocktakesController], providers: [StocktakeViews] })
export class StocktakesModule {}
