import type { WrittenLanguage } from '#statement/words/languages';

interface AttributionWords {
  /** Read with every answer, before the figures. */
  readonly caution: string;
  readonly method: string;
}

export const attributionWords: Readonly<Record<WrittenLanguage, AttributionWords>> = {
  en: {
    caution:
      'This shows where shortages and custody of keys fell together. It points to where to look and proves nothing about a person: a key that was held is not a key that was used; ' +
      'rounds, sites and machines differ; small numbers mislead. Before anything is said to anybody, look into the counts themselves, and ask what employment law requires.',
    method:
      'An interval lies between two emptyings of a box; where a reading was missed, it begins at the reading before. It is short where a tender was below what meters imply by more than the tolerance, or by two standard deviations of its machine. ' +
      'Fisher’s exact test, two-sided by summing all tables no more likely; within machines the same over sums of their tables; corrected for the number of people by Holm’s procedure.',
  },
  de: {
    caution:
      'Das zeigt, wo Fehlbeträge und der Besitz von Schlüsseln zusammenfielen. Es sagt, wo man hinsehen kann, und beweist nichts über eine Person: Ein Schlüssel, den jemand hatte, ist kein Schlüssel, den jemand benutzt hat; ' +
      'Touren, Standorte und Geräte sind verschieden; kleine Zahlen täuschen. Sehen Sie sich die Zählungen selbst an, bevor irgendjemandem etwas gesagt wird, und fragen Sie, was das Arbeitsrecht verlangt.',
    method:
      'Ein Abschnitt liegt zwischen zwei Leerungen einer Kasse; fehlt eine Ablesung, beginnt er mit der Ablesung davor. Ihm fehlt etwas, wo Münzen oder Scheine um mehr als die Toleranz, oder um zwei Standardabweichungen des Geräts, unter dem liegen, was die Zählwerke anzeigen. ' +
      'Exakter Test nach Fisher, zweiseitig über die Summe aller nicht wahrscheinlicheren Tafeln; innerhalb der Geräte dasselbe über die Summen ihrer Tafeln; für die Zahl der Personen berichtigt nach dem Verfahren von Holm.',
  },
  es: {
    caution:
      'Esto muestra dónde coincidieron faltantes y tenencia de llaves. Indica dónde mirar y no prueba nada de ninguna persona: una llave que se tuvo no es una llave que se usó; ' +
      'rutas, locales y máquinas son distintos; los números pequeños engañan. Antes de decir nada a nadie, revise los recuentos mismos y pregunte qué exige la ley laboral.',
    method:
      'Un intervalo va de un vaciado de la caja al siguiente; si faltó una lectura, empieza en la lectura anterior. Le falta dinero cuando monedas o billetes quedan por debajo de lo que indican los contadores en más de la tolerancia, o en dos desviaciones típicas de su máquina. ' +
      'Prueba exacta de Fisher, bilateral, sumando todas las tablas no más probables; dentro de las máquinas lo mismo sobre las sumas de sus tablas; corregida por el número de personas según el procedimiento de Holm.',
  },
};
