/** Ready areas of the United Kingdom and the European Union: value added tax at the standard rate, which the price contains. */
import type { CurrencyCode } from '#domain/money/currency';
import type { ReadyTaxArea } from '../ready-area';
import { area, insideTax, onTakingsTax } from './writing';

const reduced = 'This is the standard rate. Some countries tax amusements at a reduced one.';

type Vat = { readonly country: string; readonly name: string; readonly currency: CurrencyCode; readonly title: string; readonly ratePercent: string; readonly from: string; readonly source: string };

function vat({ country, name, currency, title, ratePercent, from, source }: Vat): ReadyTaxArea {
  return area({
    id: `${country.toLowerCase()}-vat`,
    code: `${country}-VAT`,
    name,
    country,
    currency,
    notes: [reduced],
    rules: [insideTax({ code: 'VAT', from, source, title, currency, components: [{ id: 'vat', title, ratePercent }] })],
  });
}

const table = (rate: string): string => `Directive 2006/112/EC arts. 96 and 97; standard rate ${rate} % by published tables of rates of the member states; in force on the first day given here, perhaps longer`;

const germanVat = {
  code: 'VAT',
  from: '2021-01-01',
  source: 'UStG s. 12(1): 19 % since 1 January 2007; from 1 January 2021 on, after the half year at another rate',
  title: 'Umsatzsteuer',
  currency: 'EUR',
  components: [{ id: 'vat', title: 'Umsatzsteuer', ratePercent: '19' }],
} as const;

export const europe: readonly ReadyTaxArea[] = [
  vat({ country: 'AT', name: 'Austria', currency: 'EUR', title: 'Umsatzsteuer', ratePercent: '20', from: '2025-01-01', source: table('20') }),
  vat({ country: 'BE', name: 'Belgium', currency: 'EUR', title: 'TVA / BTW', ratePercent: '21', from: '2025-01-01', source: table('21') }),
  area({ id: 'de-vat', code: 'DE-VAT', name: 'Germany, value added tax only', country: 'DE', currency: 'EUR', notes: ['Towns tax machines besides: see your town\'s by-law.'], rules: [insideTax(germanVat)] }),
  area({
    id: 'de-limburg',
    code: 'DE-LIMBURG',
    name: 'Limburg an der Lahn, machines without prizes in pubs',
    country: 'DE',
    currency: 'EUR',
    notes: ['Other places and machines with prizes pay other rates.'],
    rules: [
      insideTax(germanVat),
      onTakingsTax({
        code: 'DEVICE',
        from: '2025-01-01',
        source: 'Device tax by-law of Limburg an der Lahn: 5 %, at most 30 euros a machine and month, machines without prizes in pubs; in force on the first day given here, perhaps longer',
        title: 'Spielapparatesteuer',
        currency: 'EUR',
        ratePercent: '5',
        capPerMachineMonth: '30.00',
      }),
    ],
  }),
  vat({ country: 'DK', name: 'Denmark', currency: 'DKK', title: 'Moms', ratePercent: '25', from: '2025-01-01', source: table('25') }),
  vat({ country: 'ES', name: 'Spain', currency: 'EUR', title: 'IVA', ratePercent: '21', from: '2025-01-01', source: table('21') }),
  vat({ country: 'FR', name: 'France', currency: 'EUR', title: 'TVA', ratePercent: '20', from: '2014-01-01', source: 'Code général des impôts art. 278 (Act 2012-1510 art. 68): 20 % from 1 January 2014' }),
  area({
    id: 'gb-vat',
    code: 'GB-VAT',
    name: 'United Kingdom, value added tax only',
    country: 'GB',
    currency: 'GBP',
    notes: ['Takings contain the tax and nothing is deducted first, not even theft; dud coin may be disregarded.', 'Machines with cash prizes pay machine games duty instead (Finance Act 2012, Sch. 24).'],
    rules: [
      insideTax({
        code: 'VAT',
        from: '2011-01-04',
        source: 'HMRC VBANDG12200, 12500 and 12600; standard rate 20 % (fraction 1/6) from 4 January 2011',
        title: 'VAT',
        currency: 'GBP',
        components: [{ id: 'vat', title: 'VAT', ratePercent: '20' }],
      }),
    ],
  }),
  vat({ country: 'IE', name: 'Ireland', currency: 'EUR', title: 'VAT', ratePercent: '23', from: '2025-01-01', source: table('23') }),
  vat({ country: 'IT', name: 'Italy', currency: 'EUR', title: 'IVA', ratePercent: '22', from: '2025-01-01', source: table('22') }),
  vat({ country: 'NL', name: 'Netherlands', currency: 'EUR', title: 'Btw', ratePercent: '21', from: '2025-01-01', source: table('21') }),
  vat({ country: 'PL', name: 'Poland', currency: 'PLN', title: 'VAT', ratePercent: '23', from: '2025-01-01', source: table('23') }),
  vat({ country: 'PT', name: 'Portugal', currency: 'EUR', title: 'IVA', ratePercent: '23', from: '2025-01-01', source: table('23') }),
  vat({ country: 'SE', name: 'Sweden', currency: 'SEK', title: 'Moms', ratePercent: '25', from: '2025-01-01', source: table('25') }),
];
