import { done, refused, type Outcome } from '#contracts/outcome';
import type { VarianceChart, VarianceChartQuery } from '#contracts/variance';
import { usualCharts } from '#domain/variance/charts';
import { drawnAverageRunLength, sumRunLength } from '#domain/variance/run-length';
import type { Caller } from '../caller';
import { refusedWhileSealed } from '../collection/blind';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { selectChart, selectSitesOfMachine } from './chart.sql';
import { showCompared } from './to-flag';

/** Run lengths are a matter of the settings alone, and take some tenths of a second: nobody waits for them who sees no chart. */
let runLengths: ReturnType<typeof computeRunLengths> | undefined;

function computeRunLengths() {
  return {
    sum: { falseAlarmEvery: sumRunLength(usualCharts, 0), findsOneSigmaAfter: sumRunLength(usualCharts, 1) },
    average: { falseAlarmEvery: drawnAverageRunLength(usualCharts, 0), findsOneSigmaAfter: drawnAverageRunLength(usualCharts, 1) },
  };
}

/** Both charts of a machine, as they were stored with each count: the last 400, oldest first. */
export async function readVarianceChart(deps: Backoffice, caller: Caller, query: { readonly id: string } & VarianceChartQuery): Promise<Outcome<VarianceChart>> {
  return perform<VarianceChart>(deps, caller, 'variance.read', async (unit) => {
    const { tx } = unit;
    const machine = await selectSitesOfMachine(tx, query.id);
    if (machine === null) return refused('not-found');
    const refusedHere = await refusedWhileSealed(unit, caller, machine.site_ids);
    if (refusedHere !== null) return refusedHere;
    const rows = await selectChart(tx, { machineId: query.id, tender: query.tender ?? null });
    const { reference, decision, weight, width } = usualCharts;
    runLengths ??= computeRunLengths();
    return done({
      machineId: query.id,
      machineTag: machine.tag,
      sum: { reference, decision, ...runLengths.sum },
      average: { weight, width, ...runLengths.average },
      points: rows.map((row) => ({
        collectionId: row.collection_id,
        localDate: row.local_date,
        tender: row.tender,
        ...showCompared({ expectedMinor: row.expected_minor, countedMinor: row.counted_minor, currency: row.currency }),
        unknown: row.unknown,
        outOfTolerance: row.out_of_tolerance,
        leftOut: row.left_out,
        leftOutFor: row.left_out_for,
        sigmas: row.sigmas,
        sum: row.chart_sum,
        average: row.chart_average,
        averageLimit: row.average_limit,
        signals: row.signals,
      })),
    });
  });
}
