/* The demo clinic: its two suites, its calendar, what was done, and what was built into the
 * readings. All figures are invented, of plausible size for a 193 nm laser of an eye clinic. */
#include "demo.h"

#define COUNT(table) (sizeof(table) / sizeof(table)[0])

const suite suites[SUITES] = {
    [NORTH] = {.name = "Suite North",
               .target = 1.61,
               .ratio_sigma = 0.0040,
               .loss = 1.0,
               .mean_age = 0.9,
               .fluence = 180.0,
               .fluence_sigma = 0.90,
               .spread = 1.80,
               .spread_sigma = 0.15,
               .x = 4.0,
               .x_sigma = 6.0,
               .y = -3.0,
               .y_sigma = 5.0,
               .minute = 7 * 60 + 45,
               .refill_days = 3,
               .selftests = 9,
               .logs_room = true},
    [SOUTH] = {.name = "Suite South",
               .target = 2.05,
               .target_sigma = 0.006,
               .ratio_sigma = 0.0035,
               .loss = 0.5,
               .mean_age = 5.0,
               .fluence = 210.0,
               .fluence_sigma = 1.05,
               .spread = 1.60,
               .spread_sigma = 0.12,
               .x = -5.0,
               .x_sigma = 7.0,
               .y = 6.0,
               .y_sigma = 6.0,
               .voltage = 24.60,
               .voltage_sigma = 0.05,
               .minute = 7 * 60 + 30,
               .refill_days = 11,
               .selftests = 23},
};

const double temperature_mean = 21.5, temperature_sigma = 0.5; /* °C */
const double humidity_mean = 43.0, humidity_sigma = 3.5;       /* % */
const double missed_share = 0.03;
const double missing_share = 0.012;
const double voltage_gain = 0.25;
const double misread_ratio = 0.9300;

const closed_days closed[] = {
    {"2025-04-17", "2025-04-18"}, {"2025-05-02", "2025-05-02"}, {"2025-06-19", "2025-06-20"},
    {"2025-07-21", "2025-07-25"}, {"2025-10-03", "2025-10-03"}, {"2025-12-22", "2026-01-02"},
    {"2026-04-02", "2026-04-06"}, {"2026-05-14", "2026-05-15"}, {"2026-07-27", "2026-07-29"},
};
const size_t closed_n = COUNT(closed);

/* Suite North's optics lose 0.02 sigma a day for 241 days; Suite South's poor bottle loses two
 * and a half times the usual 0.00175 a day. */
const episode episodes[] = {
    {NORTH, TRACKER_X, STEP, "tracker_step", "2025-10-04", "2025-10-25", 18.0,
     "step after the unit was moved; cured by the recalibration"},
    {NORTH, RATIO, RAMP, "optics_loss", "2026-02-02", "2026-10-01", -0.02 * 0.0040 * 241,
     "slow loss of 0.02 sigma a day that refills do not restore; not cured in this log"},
    {NORTH, FLUENCE, FOLLOWS, "optics_loss", "2026-02-02", "2026-10-01", 0.0,
     "follows the energy ratio in the same proportion"},
    {SOUTH, FILL_LOSS, STEP, "poor_bottle", "2025-08-04", "2025-09-01", -0.0028,
     "loss inside the fills two and a half times the usual; the size is the extra loss"},
    {SOUTH, FLUENCE, FOLLOWS, "poor_bottle", "2025-08-04", "2025-09-01", 0.0,
     "follows the energy ratio in the same proportion"},
    {SOUTH, SPREAD, RAMP, "spread_growth", "2025-10-18", "2025-11-22", 0.60,
     "grows over five weeks; cured by the service visit"},
    {SOUTH, DEMAND, STAIRS, "demand_creep", "2026-01-12", "2026-05-16", 0.080,
     "the servo's target climbs by 0.010 mJ every two weeks; ratio and fluence stay; set back at the "
     "service visit"},
    {SOUTH, VOLTAGE, FOLLOWS, "demand_creep", "2026-01-12", "2026-05-16", 0.0,
     "follows the demand"},
    {SOUTH, FLUENCE, RAMP, "delivery_loss", "2026-06-20", "2026-08-15", -5.25,
     "delivery optics: fluence falls over eight weeks while the energy ratio stays; cured by "
     "cleaning"},
};
const size_t episodes_n = COUNT(episodes);

/* A new bottle comes with a refill. */
const deed deeds[] = {
    {SOUTH, "2025-08-04", "06:35", "gas_bottle", "new bottle connected"},
    {NORTH, "2025-08-18", "06:40", "gas_bottle", "new bottle connected"},
    {SOUTH, "2025-09-01", "06:35", "gas_bottle", "bottle returned; bottle of the earlier batch"},
    {NORTH, "2025-09-13", "10:30", "optics_cleaned", "routine"},
    {NORTH, "2025-10-04", "14:00", "moved", "moved within the room for floor work"},
    {NORTH, "2025-10-25", "11:15", "recalibration", "tracker aligned anew"},
    {NORTH, "2025-11-15", "10:00", "meter_changed", "meter M1 to its yearly calibration; now M2"},
    {SOUTH, "2025-11-22", "10:30", "service", "discharge chamber serviced"},
    {SOUTH, "2026-01-05", "06:35", "gas_bottle", "new bottle connected"},
    {NORTH, "2026-01-12", "06:40", "gas_bottle", "new bottle connected"},
    {SOUTH, "2026-05-16", "09:30", "service", "yearly visit; target energy set back"},
    {SOUTH, "2026-06-01", "06:35", "gas_bottle", "new bottle connected"},
    {NORTH, "2026-06-15", "06:40", "gas_bottle", "new bottle connected"},
    {SOUTH, "2026-08-15", "10:00", "optics_cleaned", "delivery optics cleaned"},
};
const size_t deeds_n = COUNT(deeds);

const morning mornings[] = {
    {NORTH, "2025-09-16", SELFTEST},   {NORTH, "2025-11-20", BAD_NUMBER},
    {NORTH, "2025-11-11", MISREADING}, {NORTH, "2026-03-02", BAD_DATE},
    {NORTH, "2026-05-19", NEGATIVE},   {SOUTH, "2025-09-24", BAD_NUMBER},
    {SOUTH, "2025-12-01", BAD_DATE},   {SOUTH, "2026-03-24", NEGATIVE},
};
const size_t mornings_n = COUNT(mornings);
