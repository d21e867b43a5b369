/** Everything here is invented; a likeness to an existing business, person or game is chance. */

export type Wording = {
  readonly siteFirst: readonly string[];
  readonly siteSecond: readonly string[];
  readonly streets: readonly string[];
  /** A line of an address, as it is written there. */
  readonly street: (number: number, name: string) => string;
  readonly towns: readonly string[];
  readonly firstNames: readonly string[];
  readonly lastNames: readonly string[];
};

export const english: Wording = {
  siteFirst: ['Copper', 'Rusty', 'Willow', 'Harbor', 'Maple', 'Stone', 'Velvet', 'Prairie', 'Iron', 'Amber', 'Cedar', 'Foggy', 'Lucky', 'Old Mill', 'Quarry', 'Sparrow'],
  siteSecond: ['Taproom', 'Tavern', 'Diner', 'Lanes', 'Laundromat', 'Pizza Kitchen', 'Corner Store', 'Billiard Hall', 'Lounge', 'Grill', 'Bar', 'Truck Stop'],
  streets: ['Orchard Rd', 'Bluff St', 'Depot Ave', 'Kiln Ln', 'Second St', 'Ferry Rd', 'Juniper Dr', 'Foundry St'],
  street: (number, name) => `${number} ${name}`,
  towns: ['Brackwater, ZZ 00107', 'Tallow Creek, ZZ 00112', 'New Harlan, ZZ 00119', 'Pickett Falls, ZZ 00123', 'Dunmore Bend, ZZ 00131'],
  firstNames: ['Avery', 'Jordan', 'Casey', 'Morgan', 'Riley', 'Quinn', 'Rowan', 'Emerson', 'Harper', 'Skyler', 'Dana', 'Lee'],
  lastNames: ['Tallman', 'Okafor', 'Brandt', 'Castellan', 'Ferrow', 'Huxtable', 'Ngata', 'Pellworth', 'Quist', 'Sandoval-Rhee', 'Thorne', 'Wexley'],
};

export const german: Wording = {
  siteFirst: ['Gasthaus', 'Kneipe', 'Bistro', 'Café', 'Sportheim', 'Waschsalon', 'Imbiss', 'Bahnhofswirtschaft'],
  siteSecond: ['Zum Kieselstein', 'Am Mühlgraben', 'Drei Linden', 'Zur Alten Säge', 'Krähenwinkel', 'Am Stellwerk', 'Zur Grünen Brücke', 'Hölzernes Rad', 'Zum Rußigen Kessel'],
  streets: ['Säggasse', 'Am Weiher', 'Birkenring', 'Schmiedeweg', 'Untere Zeile', 'Mühlbergstraße', 'Lehmgrube'],
  street: (number, name) => `${name} ${number}`,
  towns: ['00991 Tannhag', '00992 Oberkrähen', '00993 Müssdorf', '00994 Hohenlaub', '00995 Grünwehr'],
  firstNames: ['Jule', 'Mattes', 'Svenja', 'Ömer', 'Katja', 'Łukasz', 'Thea', 'Ruben', 'Ines', 'Falk', 'Nuria', 'Benno'],
  lastNames: ['Kröger-Witt', 'Ziegelbauer', 'Paschke', 'Yıldırımoğlu', 'Hasselfeld', 'Nowaczyk', 'Brühl', 'Talmann', 'Oberreut', 'Sondermeier'],
};

export type GameKind = 'pinball' | 'video' | 'jukebox' | 'pool-table';

export const gameTitles: Readonly<Record<GameKind, readonly string[]>> = {
  pinball: ['Lantern Parade', 'Gravel Comet', 'Clockwork Orchard', 'Midnight Ferry', 'Tinsmith', 'Avalanche Choir', 'Brass Meridian'],
  video: ['Turnip Patrol', 'Neon Gorge', 'Sub-Basement 9', 'Kestrel Dive', 'Puddle Hoppers', 'Orbit Janitor', 'Rail Marshal'],
  jukebox: ['Selector One Sixty', 'Hushwood Wallbox', 'Merry Stack'],
  'pool-table': ['Slate Seven', 'Greenfield Eight'],
};
