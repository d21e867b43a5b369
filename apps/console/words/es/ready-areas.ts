/** Lo que dejan abierto las zonas fiscales preparadas, por la frase de la interfaz. */
export const readyAreaNotes: Readonly<Record<string, string>> = {
  'Check with your tax authority or a licensed practitioner before you use it: rates change, and which rule holds depends on the machines and on who controls the cash.':
    'Consulte antes de usarlo a su administración tributaria o a un profesional habilitado: los tipos cambian, y qué regla rige depende de las máquinas y de quién dispone del efectivo.',
  'This is the standard rate. Some countries tax amusements at a reduced one.':
    'Es el tipo general. Algunos países gravan los recreativos a uno reducido.',
  'Towns tax machines besides: see your town\'s by-law.':
    'Los municipios gravan además las máquinas: vea la ordenanza del suyo.',
  'Other places and machines with prizes pay other rates.':
    'Otros lugares y las máquinas con premio pagan otros tipos.',
  'Takings contain the tax and nothing is deducted first, not even theft; dud coin may be disregarded.':
    'La recaudación contiene el impuesto y antes no se deduce nada, ni siquiera un robo; la moneda falsa puede no tenerse en cuenta.',
  'Machines with cash prizes pay machine games duty instead (Finance Act 2012, Sch. 24).':
    'Las máquinas con premio en metálico pagan en su lugar la tasa «machine games duty» (Finance Act 2012, Sch. 24).',
  'The tax is computed for each reporting period, not for each play or collection.':
    'El impuesto se calcula por período de declaración, no por partida ni recogida.',
  'Find the surtax of your county before you choose.':
    'Busque el recargo de su condado antes de elegir.',
  'Counties and cities add rates of their own: add them as components. Receipts are charges divided by one plus all rates.':
    'Condados y ciudades añaden tipos propios: añádalos como componentes. La base son los cobros divididos entre uno más todos los tipos.',
  'A yearly amount per device, 700 times the sales tax rate, in place of sales tax.':
    'Un importe anual por aparato, 700 veces el tipo del impuesto sobre ventas, en lugar de este.',
  'Municipalities and counties may tax machines, too.':
    'Municipios y condados también pueden gravar las máquinas.',
  'Decals may be transferred to another device.':
    'Los distintivos pueden pasarse a otro aparato.',
  'The doubled amount from 2027 on was read in a secondary source.':
    'El importe doblado desde 2027 se leyó en una fuente secundaria.',
  'Music and amusement devices; machines that sell goods pay other amounts. The fee stands in place of sales tax.':
    'Aparatos de música y recreativos; las máquinas de venta pagan otros importes. La tasa sustituye al impuesto sobre ventas.',
  'There is a master licence of 500, 1,000 or 2,000 dollars a year by number of machines besides, which is no tax of one machine.':
    'Hay además una licencia principal de 500, 1.000 o 2.000 dólares al año según el número de máquinas, que no es impuesto de una máquina.',
  'There is a licence of 200, 400 or 500 dollars a year by number of machines besides, which is no tax of one machine.':
    'Hay además una licencia de 200, 400 o 500 dólares al año según el número de máquinas, que no es impuesto de una máquina.',
  'The owner is reimbursed the machine tax before the rest is divided.':
    'Al propietario se le devuelve el impuesto de la máquina antes de repartir el resto.',
  'A device that takes only a single coin of 25 cents or less is free (s. 165.1(2)): give such machines a kind of their own and leave it out.':
    'Un aparato que solo admite una moneda de 25 centavos o menos está exento (s. 165.1(2)): dé a esas máquinas un tipo propio y déjelo fuera.',
  'Provinces that take part add their own rate.':
    'Las provincias que participan añaden su propio tipo.',
};
