// Which figures a comparison shows, and how: a row here is the mean over the band in the table, in
// JSON and in the report, or the curve over speed in the report. Names in JSON come from the table
// of figures.
#pragma once

#include <array>
#include <optional>

#include "models/figures/point_result.hpp"

namespace pulsewright::tools {

// What a figure is shown in: a unit of DisplayUnits; percent of a fraction; degree of crank angle;
// gauge is a pressure above ambient, with its sign.
enum class ShownIn { torque, power, percent, pressure, gauge, degree };

// A mean over the band.
struct BandFigure {
  double models::PointResult::*member;
  double models::CylinderFigures::*spread;  // best to worst cylinder; null: not shown
  ShownIn shown_in;
  std::optional<int> digits;  // none: one in kPa, two in psi
  const char* title;          // of the column in the table; null: in JSON alone
  const char* heading;        // of the column in the report
};

inline constexpr std::array band_figures{
    BandFigure{&models::PointResult::torque, nullptr, ShownIn::torque, 1, "torque", "Mean torque"},
    BandFigure{&models::PointResult::power, nullptr, ShownIn::power, 1, nullptr, nullptr},
    BandFigure{&models::PointResult::volumetric_efficiency,
               &models::CylinderFigures::volumetric_efficiency, ShownIn::percent, 1, "vol.eff.",
               "Vol. efficiency"},
    BandFigure{&models::PointResult::charging_efficiency,
               &models::CylinderFigures::charging_efficiency, ShownIn::percent, 1, nullptr,
               nullptr},
    BandFigure{&models::PointResult::residual_fraction, nullptr, ShownIn::percent, 2, "residual",
               "Residual gas"},
    BandFigure{&models::PointResult::overlap_exhaust_pressure,
               &models::CylinderFigures::overlap_exhaust_pressure, ShownIn::gauge, std::nullopt,
               "overlap", "During overlap"},
    BandFigure{&models::PointResult::depression, nullptr, ShownIn::gauge, std::nullopt,
               "peak suction", "Peak suction"},
    BandFigure{&models::PointResult::depression_angle, nullptr, ShownIn::degree, 0, "at",
               "Peak suction at"}};

// A curve over speed.
struct CurveFigure {
  double models::PointResult::*member;
  double models::CylinderFigures::*by_cylinder;  // null: of the whole engine only
  ShownIn shown_in;
  const char* heading;
};

inline constexpr std::array curve_figures{
    CurveFigure{&models::PointResult::torque, nullptr, ShownIn::torque, "Torque"},
    CurveFigure{&models::PointResult::power, nullptr, ShownIn::power, "Power"},
    CurveFigure{&models::PointResult::volumetric_efficiency,
                &models::CylinderFigures::volumetric_efficiency, ShownIn::percent,
                "Volumetric efficiency"},
    CurveFigure{&models::PointResult::charging_efficiency,
                &models::CylinderFigures::charging_efficiency, ShownIn::percent,
                "Charging efficiency"},
    CurveFigure{&models::PointResult::overlap_exhaust_pressure,
                &models::CylinderFigures::overlap_exhaust_pressure, ShownIn::gauge,
                "Pressure during overlap, gauge"},
    CurveFigure{&models::PointResult::residual_fraction,
                &models::CylinderFigures::residual_fraction, ShownIn::percent, "Residual gas"},
    CurveFigure{&models::PointResult::pmep, &models::CylinderFigures::pmep, ShownIn::pressure,
                "Pumping work (PMEP)"}};

}  // namespace pulsewright::tools
