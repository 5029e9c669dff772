/** Signal words as ANSI Z535.4 defines them: DANGER death or serious injury that will happen, WARNING that could happen,
 *  CAUTION minor or moderate injury that could happen, NOTICE no injury. */
export type SignalWord = 'DANGER' | 'WARNING' | 'CAUTION' | 'NOTICE';

/** A hazard, what it does, how to avoid it, and where that is said. */
export interface Caution {
  readonly id: string;
  /** A few words, for a second mention of what stands in full further up. */
  readonly short: string;
  readonly signal: SignalWord;
  readonly hazard: string;
  readonly avoid: string;
  readonly source: string;
}

const practice = 'common practice, no source';

/** The cautions of the library, in the order in which an owner reads about them. The choice of signal word is our judgement. */
export const dangers: readonly Caution[] = [
  {
    id: 'exhaust-indoors',
    short: 'exhaust gas indoors',
    signal: 'DANGER',
    hazard: 'A running engine fills a closed room with carbon monoxide, which has no smell and kills within minutes.',
    avoid: 'Run it outdoors only, never in a shed or garage with the door open, and away from windows.',
    source: '29 CFR 1910.1000 Table Z-1 (exposure limit), from memory; otherwise common practice, no source',
  },
  {
    id: 'generator-outdoors',
    short: 'generator in or near a building',
    signal: 'DANGER',
    hazard: 'A generator in or beside a building sends carbon monoxide into it and has killed whole households.',
    avoid: 'Set it outdoors, well away from doors, windows and vents, with the exhaust pointing away.',
    source: practice,
  },
  {
    id: 'back-feed',
    short: 'feeding back into the house',
    signal: 'DANGER',
    hazard: 'A generator plugged into a house socket makes the wires outside live and kills people who work on them.',
    avoid:
      'Connect appliances directly. A house is connected only through a transfer switch that a licensed electrician fitted.',
    source: practice,
  },
  {
    id: 'under-raised-machine',
    short: 'below a raised machine',
    signal: 'DANGER',
    hazard: 'A machine held by a jack or by its own hydraulics comes down without warning and crushes who is below.',
    avoid: 'Firm level ground, stands on the rated points, a push to try it. Nobody goes under what only a jack holds.',
    source: '29 CFR 1910.244(a)(1),(2); WAC 296-307-22509',
  },
  {
    id: 'raised-rear-brake',
    short: 'brake useless with the rear raised',
    signal: 'WARNING',
    hazard:
      'A parking brake on the rear wheels holds nothing once the rear is raised: the machine rolls off its stands.',
    avoid: 'Chock both front wheels from both sides before lifting the rear.',
    source: practice,
  },
  {
    id: 'injection',
    short: 'oil through the skin',
    signal: 'DANGER',
    hazard:
      'Oil or fuel from a pinhole under pressure goes through skin. The wound looks harmless and can cost the limb.',
    avoid:
      'Look for leaks with a piece of card, never with a hand, glove or not. If it happened, go to an emergency room at once and say so.',
    source: 'Rodriguez-Villar 2019, DOI 10.1007/s00068-019-01106-4; card instead of hand: common practice, no source',
  },
  {
    id: 'grease-injection',
    short: 'grease through the skin',
    signal: 'WARNING',
    hazard: 'A grease gun builds enough pressure to push grease through skin at a blocked fitting or a split hose.',
    avoid: 'Keep hands off coupler and hose while pumping. If a point takes no grease, stop and note it.',
    source: 'Rodriguez-Villar 2019, DOI 10.1007/s00068-019-01106-4; otherwise common practice, no source',
  },
  {
    id: 'hydraulic-pressure',
    short: 'hydraulic pressure',
    signal: 'WARNING',
    hazard:
      'Hydraulic lines keep their pressure with the engine off; a parted coupling sprays hot oil or drops the load.',
    avoid: 'Lower everything to the ground, engine off, then move every lever both ways until nothing answers.',
    source: '29 CFR 1928.57(a)(6), from memory; otherwise common practice, no source',
  },
  {
    id: 'loader-stands',
    short: 'loader tipping over',
    signal: 'WARNING',
    hazard: 'A loader that was taken off tips over unless its stands carry it on firm ground.',
    avoid: 'Set its stands and pins, lower until they carry it, push at it before driving away; keep children off.',
    source: practice,
  },
  {
    id: 'rotating-parts',
    short: 'turning parts',
    signal: 'WARNING',
    hazard: 'Fan, belt and shafts pull in sleeves, hair and fingers faster than anyone lets go.',
    avoid:
      'Engine off and safe from being started, wait until nothing turns. While it must run: guards on, sleeves tight, nobody else near.',
    source: '29 CFR 1928.57(a)(6), from memory',
  },
  {
    id: 'pto-shaft',
    short: 'turning shaft',
    signal: 'DANGER',
    hazard: 'A turning power take-off shaft winds up clothes and the person in them.',
    avoid:
      'Guards whole and in place, nobody within reach while it turns, drive off and engine stopped before going near.',
    source: '29 CFR 1928.57, from memory',
  },
  {
    id: 'seat-switch-test',
    short: 'testing safety switches',
    signal: 'WARNING',
    hazard: 'When a safety switch fails its test, the machine moves or its tool turns with nobody in control.',
    avoid: 'Open ground, nobody near, shaft or tool clear of everything, and stay within reach of the stop.',
    source: practice,
  },
  {
    id: 'brake-trial',
    short: 'brake just worked on',
    signal: 'WARNING',
    hazard: 'A brake that was just worked on may not hold.',
    avoid: 'Slow trial on level ground with room to roll, before any slope, road or load.',
    source: practice,
  },
  {
    id: 'roll-over-bar',
    short: 'roll-over bar and belt',
    signal: 'WARNING',
    hazard: 'A folded, loose or cracked roll-over bar, or a belt left off, turns a tip-over into a death.',
    avoid: 'Bar up and bolted, belt on. A bent or cracked bar is replaced by the trade, never welded or straightened.',
    source: practice,
  },
  {
    id: 'wheel-off',
    short: 'wheel coming off',
    signal: 'WARNING',
    hazard: 'A wheel bolt cracked loose on a raised machine pulls it off its stands; a ballasted wheel crushes.',
    avoid: 'Crack the bolts loose on the ground, lift after that. Ballasted wheels: two people or a wheel trolley.',
    source: practice,
  },
  {
    id: 'wheel-bolts-again',
    short: 'wheel bolts settle',
    signal: 'WARNING',
    hazard: 'Wheel bolts settle in the first hours after a wheel was off; a wheel can come off while driving.',
    avoid: 'Tighten to the stated torque again after the first hours of work, until they no longer turn.',
    source: 'BS AU 50-2.7a:1995 (road vehicles), secondary; hours of field work: common practice, no source',
  },
  {
    id: 'tyre-pressure',
    short: 'filling tyres',
    signal: 'WARNING',
    hazard: 'A tyre or rim that fails while being filled throws its parts.',
    avoid: 'Stand to the side, clip-on chuck with a long hose, never beyond the pressure on the tyre wall.',
    source: practice,
  },
  {
    id: 'blade-plug-lead',
    short: 'blade turns the engine, plug lead off',
    signal: 'DANGER',
    hazard: 'Turning a blade by hand turns the engine, and a warm engine can fire once: that is enough to take a hand.',
    avoid: 'Spark plug lead off and tied back before touching blade, deck or cutter. Thick gloves for the edges.',
    source: practice,
  },
  {
    id: 'fuel-fire',
    short: 'petrol burns',
    signal: 'WARNING',
    hazard: 'Petrol vapour runs along the floor and lights at a distance; spilt fuel on a hot engine burns.',
    avoid: 'Engine off and cool, outdoors, no smoking or flame, wipe spills, lids shut, extinguisher at hand.',
    source: practice,
  },
  {
    id: 'diesel-fuel',
    short: 'diesel fuel',
    signal: 'CAUTION',
    hazard: 'Diesel burns, and irritates skin; air and dirt in the line stop the engine.',
    avoid: 'No smoking, cold engine, a tray below, gloves, rags into a closed metal tin.',
    source: 'flash point: ASTM D975, EN 590, from memory; otherwise common practice, no source',
  },
  {
    id: 'battery-gas',
    short: 'gas of a charging battery',
    signal: 'WARNING',
    hazard: 'A charging battery gives off hydrogen; a spark bursts the case and throws acid.',
    avoid: 'Air the place, charger off before clips go on or come off, no flame, no metal on top, eyes covered.',
    source: '29 CFR 1910.178(g)(9) to (12); Canadian Centre for Occupational Health and Safety, battery charging',
  },
  {
    id: 'battery-short',
    short: 'short circuit at the battery',
    signal: 'WARNING',
    hazard: 'A spanner between plus and frame melts in a second and sets off the battery.',
    avoid: 'Rings off, negative lead off first and on last.',
    source: practice,
  },
  {
    id: 'frozen-battery',
    short: 'frozen battery',
    signal: 'WARNING',
    hazard: 'A frozen battery can burst when it is charged or when a start is tried from another one.',
    avoid: 'Bulged sides or ice: never charge it. Let it thaw in a warm place and have it tested.',
    source: practice,
  },
  {
    id: 'hot-oil',
    short: 'hot oil',
    signal: 'CAUTION',
    hazard: 'Oil drained hot runs down the wrist and burns; so does the exhaust beside it.',
    avoid: 'Warm, not hot: wait until a hand can rest on the sump. Gloves with cuffs, tray in place first.',
    source: practice,
  },
  {
    id: 'hot-exhaust',
    short: 'hot exhaust',
    signal: 'CAUTION',
    hazard: 'Exhaust and engine stay hot long after the engine stopped.',
    avoid: 'Let it cool before reaching in; long sleeves where it cannot be avoided.',
    source: practice,
  },
  {
    id: 'used-oil',
    short: 'used oil',
    signal: 'CAUTION',
    hazard: 'Used oil on the skin for long is a cancer hazard, and a litre in a drain spoils a great deal of water.',
    avoid:
      'Gloves, wash at once. Marked, tight container; hand oil and filters in where your council takes them; never mix fluids.',
    source: 'IARC Monographs 100F, from memory; 40 CFR 279.22; European waste codes 13 02 and 16 01 07*',
  },
  {
    id: 'oil-level-rose',
    short: 'oil level too high',
    signal: 'WARNING',
    hazard: 'A diesel overfilled with oil, or thinned by fuel, can run away on its own oil and not stop.',
    avoid:
      'Never above the upper mark. A level that rose by itself means fuel or water in the oil: do not start, find out why.',
    source: practice,
  },
  {
    id: 'hot-radiator-cap',
    short: 'hot radiator cap',
    signal: 'WARNING',
    hazard: 'A hot radiator under pressure throws steam and boiling coolant when the cap is opened.',
    avoid: 'Cold engine only, thick rag over the cap, quarter turn, wait until it stops hissing.',
    source: practice,
  },
  {
    id: 'coolant-poison',
    short: 'coolant is poison',
    signal: 'WARNING',
    hazard: 'Antifreeze tastes sweet and kills pets and children in small amounts.',
    avoid: 'Catch all of it, wipe up drops, closed marked container out of reach; hand it in as waste.',
    source: 'European waste code 16 01 14*; otherwise common practice, no source',
  },
  {
    id: 'compressed-air',
    short: 'blown dust and chips',
    signal: 'CAUTION',
    hazard: 'Blown dust and chips go into eyes and lungs; air against skin can enter it.',
    avoid: 'Goggles and dust mask, low pressure, from the clean side outwards, never at people or clothes.',
    source: '29 CFR 1910.133(a)(1); otherwise common practice, no source',
  },
  {
    id: 'harmful-dust',
    short: 'harmful dust',
    signal: 'WARNING',
    hazard: 'Field dust holds silica, and old brake and clutch dust may hold asbestos: both scar lungs for good.',
    avoid:
      'Do not blow it off. Damp cloth or a vacuum cleaner for fine dust, well-fitting filter mask, wash afterwards.',
    source: practice,
  },
  {
    id: 'implement-falls',
    short: 'implements come down',
    signal: 'WARNING',
    hazard: 'A bucket, deck or arm held up by a lever comes down when a line or a valve gives.',
    avoid: 'Everything on the ground. What must be up is locked mechanically or stands on blocks.',
    source: practice,
  },
  {
    id: 'springs',
    short: 'springs under tension',
    signal: 'CAUTION',
    hazard: 'A spring under tension flies off and hits eyes and hands.',
    avoid: 'Eye protection, hold it with a proper hook or pliers, let the tension off slowly.',
    source: practice,
  },
  {
    id: 'sharp-edges',
    short: 'sharp edges',
    signal: 'CAUTION',
    hazard: 'Blades, chains and sheet-metal edges cut.',
    avoid: 'Cut-proof gloves, wrap the edge, turn spanners away from it.',
    source: practice,
  },
  {
    id: 'kickback',
    short: 'kickback',
    signal: 'DANGER',
    hazard: 'The upper tip of the bar that touches anything throws the running saw back at head and neck.',
    avoid:
      'Chain brake tested first, both hands on the handles, thumbs round them, tip clear of everything, never above the shoulder.',
    source: practice,
  },
  {
    id: 'chain-moves',
    short: 'chain moves under the hand, engine off',
    signal: 'WARNING',
    hazard: 'A saw chain cuts to the bone when it moves, even pulled by hand, and a warm engine can fire once.',
    avoid:
      'Engine off, plug lead off and tied back, cut-proof gloves. The chain brake is released only to move the chain.',
    source: practice,
  },
  {
    id: 'chain-brake',
    short: 'chain brake',
    signal: 'WARNING',
    hazard: 'A chain brake that holds late or not at all lets a thrown saw cut whoever holds it.',
    avoid: 'Tried before each use; a saw whose brake fails is not used. The brake band itself is work for the trade.',
    source: practice,
  },
  {
    id: 'rewind-spring',
    short: 'starter spring',
    signal: 'CAUTION',
    hazard: 'The starter spring uncoils with force when its housing is opened.',
    avoid: 'Clean from outside and check the rope only; leave the spring in its housing to the trade.',
    source: practice,
  },
  {
    id: 'mains-voltage',
    short: 'mains voltage',
    signal: 'DANGER',
    hazard: 'The output of a generator kills like the mains.',
    avoid:
      'Engine off before anything is opened; wet sockets and damaged leads are not used. Inside the alternator: licensed trade only.',
    source: practice,
  },
  {
    id: 'loud-noise',
    short: 'loud noise',
    signal: 'CAUTION',
    hazard: 'A small engine at full speed damages hearing within an hour.',
    avoid: 'Ear protection whenever it runs at speed.',
    source: practice,
  },
  {
    id: 'wrong-fluid',
    short: 'wrong fluid',
    signal: 'NOTICE',
    hazard: 'The wrong oil or coolant ruins seals, clutches and pumps.',
    avoid: 'Only what the machine’s own manual names; when in doubt, do not pour.',
    source: practice,
  },
  {
    id: 'over-tightening',
    short: 'overtightening',
    signal: 'NOTICE',
    hazard: 'Plugs and filters that are overtightened strip threads and ruin seals.',
    avoid: 'By hand first, then the stated torque with a torque wrench.',
    source: practice,
  },
];
