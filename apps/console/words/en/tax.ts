import { number } from './counting';

export const tax = {
  title: 'Tax returns',
  lead: 'By filing month, over all sites of an area, whatever their settlement cycles are.',
  area: 'Tax area',
  month: 'Month',
  noAreas: 'No tax area has been set up yet.',
  download: 'Download as CSV',
  downloadRefused: 'The file could not be fetched. Try again.',
  figures: {
    title: 'The month',
    tax: 'Tax of the return',
    booked: 'Booked by settlements',
    difference: 'Difference',
    payable: 'Waiting to be filed, all months',
  },
  components: { title: 'By component', component: 'Component', base: 'Base', tax: 'Tax', taxable: 'Base without tax', carried: 'Carried from the month before' },
  sites: { title: 'By site', none: 'Nothing is booked to this month.', booked: 'Booked', machines: 'Machines', showMachines: 'Show machines', hideMachines: 'Hide machines' },
  machines: { title: (site: string) => `Machines of ${site}`, none: 'No machine of the site is taxed in this month.' },
  differences: {
    title: 'Why the return is not what settlements booked',
    none: 'The return is to the unit what settlements booked.',
    cause: 'Reason',
    where: 'Site or tax',
    amount: 'Return less booked',
    causes: {
      rounding: 'Rounding',
      'negative-bases': 'Takings below zero',
      'not-settled': 'Not settled yet',
      timing: 'Timing',
      'settled-otherwise': 'Settled otherwise',
    },
  },
  filed: {
    none: 'This month has not been recorded as filed.',
    last: ({ position, day, tax }: { position: number; day: string; tax: string }) => `Return ${number.format(position)} of the month was filed on ${day}, with a tax of ${tax}.`,
    amended: (change: string) => `The tax has changed by ${change} since. Filed again, it is an amended return.`,
    booking: (change: string) => `Settlements have booked ${change} more or less since; the tax itself is as it was filed.`,
    same: 'Nothing has changed since.',
  },
  file: {
    action: { original: 'Record as filed', amended: 'Record the amended return', booking: 'Post what was booked since' },
    what: 'The figures are kept as they are now and posted to the journal. A return that has been recorded is never changed; later changes make another one.',
    check: 'Check the figures with your tax authority or a licensed practitioner.',
    filedOn: 'Filed on',
    reference: 'Reference of the authority',
  },
};
