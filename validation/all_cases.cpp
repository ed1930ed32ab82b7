// The list of all validation cases and of the broken variants that must fail.
#include "validation/acoustics/acoustics.hpp"
#include "validation/case.hpp"
#include "validation/characteristics/characteristics.hpp"
#include "validation/convergence/convergence.hpp"
#include "validation/cylinder/cylinder.hpp"
#include "validation/junctions/junctions.hpp"
#include "validation/merge/merge.hpp"
#include "validation/merge_reference/reference_checks.hpp"
#include "validation/steady/steady.hpp"
#include "validation/trends/trends.hpp"
#include "validation/waves/waves.hpp"

namespace pulsewright::validation {

namespace {

// A case for each geometry of the reference.
std::vector<CaseEntry> with_merges(std::vector<CaseEntry> cases) {
  for (const MergeGeometry& geometry : merge_geometries()) {
    cases.push_back({"merge", geometry.name, [&geometry](Broken broken) {
                       return merge_against_reference(geometry, broken);
                     }});
  }
  return cases;
}

}  // namespace

const std::vector<CaseEntry>& all_cases() {
  static const std::vector<CaseEntry> cases = with_merges({
      {"waves", "sod", shock_tube_sod},
      {"waves", "sod-025", shock_tube_sod_toro},
      {"waves", "toro-1", shock_tube_toro_1},
      {"waves", "toro-2", shock_tube_toro_2},
      {"waves", "toro-3", shock_tube_toro_3},
      {"waves", "right-blast", shock_tube_right_blast},
      {"waves", "toro-4", shock_tube_toro_4},
      {"waves", "toro-5", shock_tube_toro_5},
      {"waves", "lax", shock_tube_lax},
      {"waves", "contact", contact_carried},
      {"waves", "two-gases", two_gas_tubes},
      {"waves", "burnt-fraction", burnt_fraction_carried},
      {"waves", "burnt-step", burnt_step_carried},
      {"waves", "simple-wave", simple_wave_order},
      {"waves", "totals", simple_wave_totals},
      {"waves", "wave-speeds", wave_speeds},
      {"waves", "superposition", wave_superposition},
      {"waves", "closed-end", wave_at_closed_end},
      {"waves", "open-end", wave_at_open_end},
      {"waves", "shock-at-wall", shock_at_closed_end},
      {"waves", "shu-osher", shu_osher},
      {"waves", "blast-interaction", blast_interaction, true},
      {"waves", "driven-tube", driven_tube_straight},
      {"waves", "driven-tube-stepped", driven_tube_stepped},
      {"waves", "driven-tube-tapered", driven_tube_tapered},

      {"steady", "nozzle-subsonic", nozzle_subsonic, true},
      {"steady", "nozzle-supersonic", nozzle_supersonic},
      {"steady", "nozzle-shock", nozzle_with_shock},
      {"steady", "nozzle-shock-limit-cycle", nozzle_shock_limit_cycle},
      {"steady", "cones", area_change},
      {"steady", "fanno", fanno_pipe},
      {"steady", "rayleigh", rayleigh_pipe},
      {"steady", "friction-and-heat", friction_and_heat},
      {"steady", "enlargement", sudden_enlargement},
      {"steady", "tube-steps", tube_steps},
      {"steady", "merge-neck", merge_neck},
      {"steady", "diffuser", conical_diffuser},
      {"steady", "bends", bend_losses},
      {"steady", "orifice", choked_orifice},

      {"acoustics", "quarter-wave", quarter_wave},
      {"acoustics", "helmholtz", helmholtz},
      {"acoustics", "expansion-chamber", expansion_chamber},
      {"acoustics", "stepped-tube", stepped_tube},
      {"acoustics", "side-branch", side_branch},
      {"acoustics", "extended-chamber", extended_chamber},
      {"acoustics", "helmholtz-branch", helmholtz_branch},
      {"acoustics", "perforated-muffler", perforated_muffler},
      {"acoustics", "open-end", unflanged_end},
      {"acoustics", "mean-flow", mean_flow},
      {"acoustics", "inflow", inflow},
      {"acoustics", "header", header_four_poles},

      {"trends", "tuned-length", tuned_length, true},
      {"trends", "opening-period", opening_period, true},
      {"trends", "overlap", overlap_needed},
      {"trends", "longer-primary", longer_primary},
      {"trends", "wider-primary", wider_primary, true},
      {"trends", "even-collectors", even_collectors, true},

      {"convergence", "worked-example", grid_convergence_example},
      {"convergence", "single-cylinder", single_cylinder_grids},
      {"convergence", "demo-5000", demo_grids_5000, true},
      {"convergence", "demo-6000", demo_grids_6000, true},
      {"convergence", "time-step", demo_time_steps, true},
      {"convergence", "cycles", demo_cycles, true},

      {"junctions", "wyes", wye_losses},
      {"junctions", "equal-area-wyes", equal_area_wye_losses},
      {"junctions", "mixing", parallel_mixing},
      {"junctions", "jet", jet_suction},
      {"junctions", "dividing", dividing_flow},
      {"junctions", "balance-pipes", balance_pipes},
      {"junctions", "measured-combining", measured_combining},
      {"junctions", "measured-dividing", measured_dividing},
      {"junctions", "measured-choking", measured_choking},
      {"junctions", "small-pulses", small_pulses},
      {"junctions", "finite-pulses", finite_pulses},

      {"cylinder", "blowdown", blowdown_closed_form},
      {"cylinder", "filling", vessel_filling},
      {"cylinder", "otto", otto_cycle},
      {"cylinder", "dual", dual_cycle},
      {"cylinder", "motored", motored_with_heat},
      {"cylinder", "heat-release", simple_heat_release},
      {"cylinder", "heat-coefficients", heat_coefficients},
      {"cylinder", "wiebe", wiebe_function},
      {"cylinder", "flow-bench", flow_bench_conversion},

      {"characteristics", "simple-wave", characteristics_simple_wave},
      {"characteristics", "ends", characteristics_ends},
      {"characteristics", "contact", characteristics_contact},
      {"characteristics", "taper", characteristics_taper},
      {"characteristics", "fanno", characteristics_friction},
      {"characteristics", "rayleigh", characteristics_heat},
      {"characteristics", "blowdown", blowdown_two_methods},
      {"characteristics", "engine", engine_two_methods, true},

      {"reference", "straight-tube", reference_straight_tube, true},
      {"reference", "merge-again", reference_again, true},
  });
  return cases;
}

const std::vector<BrokenVariant>& broken_variants() {
  static const std::vector<BrokenVariant> variants{
      {"waves", "contact", Broken::smeared_contact},
      {"waves", "sod", Broken::first_order},
      {"waves", "simple-wave", Broken::first_order},
      {"waves", "closed-end", Broken::end_reflection},
      {"waves", "open-end", Broken::end_reflection},
      {"waves", "driven-tube", Broken::friction},

      {"steady", "nozzle-subsonic", Broken::predictor_area},
      {"steady", "cones", Broken::area_term},
      {"steady", "fanno", Broken::friction},
      {"steady", "rayleigh", Broken::wall_heat},
      {"steady", "enlargement", Broken::enlargement},
      {"steady", "tube-steps", Broken::enlargement},
      {"steady", "merge-neck", Broken::area_term},

      {"acoustics", "quarter-wave", Broken::end_correction},
      {"acoustics", "expansion-chamber", Broken::area_term},
      {"acoustics", "stepped-tube", Broken::area_term},
      {"acoustics", "extended-chamber", Broken::area_term},
      {"acoustics", "helmholtz-branch", Broken::end_correction},
      {"acoustics", "perforated-muffler", Broken::area_term},
      {"acoustics", "open-end", Broken::end_reflection},
      {"acoustics", "mean-flow", Broken::end_reflection},
      {"acoustics", "inflow", Broken::end_reflection},
      {"acoustics", "header", Broken::end_reflection},

      {"trends", "overlap", Broken::tuning},
      {"trends", "longer-primary", Broken::tuning},

      {"convergence", "worked-example", Broken::first_order},
      {"convergence", "single-cylinder", Broken::coarse_grid},

      {"junctions", "wyes", Broken::junction_momentum},
      {"junctions", "mixing", Broken::junction_momentum},
      {"junctions", "jet", Broken::junction_momentum},
      {"junctions", "balance-pipes", Broken::junction_momentum},
      {"junctions", "measured-combining", Broken::junction_momentum},
      {"junctions", "measured-choking", Broken::junction_momentum},
      {"junctions", "small-pulses", Broken::junction_momentum},
      {"junctions", "finite-pulses", Broken::junction_momentum},

      {"merge", "A", Broken::junction_momentum},
      {"merge", "B", Broken::junction_momentum},

      {"cylinder", "blowdown", Broken::valve_choking},
      {"cylinder", "motored", Broken::wall_heat},

      {"characteristics", "simple-wave", Broken::characteristics},
      {"characteristics", "ends", Broken::end_reflection},
      {"characteristics", "contact", Broken::characteristics},
      {"characteristics", "taper", Broken::area_term},
      {"characteristics", "fanno", Broken::friction},
      {"characteristics", "blowdown", Broken::end_reflection},

      {"reference", "straight-tube", Broken::first_order},
  };
  return variants;
}

}  // namespace pulsewright::validation
