// Transmission loss of parts as a case file builds them, against four-poles: a chamber into which
// its tubes reach, a Helmholtz resonator on the side, a perforated core in a shell.
#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <functional>
#include <numbers>
#include <string>

#include "cases/case_reader.hpp"
#include "cases/header_builder.hpp"
#include "cases/tail_parts.hpp"
#include "models/sizing/circle.hpp"
#include "validation/acoustics/acoustics.hpp"
#include "validation/acoustics/four_pole.hpp"
#include "validation/acoustics/spectrum.hpp"

namespace pulsewright::validation {

using models::circle_area;
using models::Side;

namespace {

constexpr double sound_speed = 343.24;  // m/s
constexpr double bore = 0.05;           // m

// A smooth pipe of that bore with the part and a pipe behind it, all of one kind of gas at rest.
std::string case_with(const std::string& part) {
  return "title = \"part\"\n[[header]]\nname = \"part\"\nkind = \"network\"\n[[header.pipe]]\n"
         "name = \"inlet\"\nfrom = \"closed\"\nto = \"open\"\ntube = \"50 mm ID\"\n"
         "length = \"0.4 m\"\nfriction = false\nheat = \"none\"\n"
         "[[header.part]]\nbehind = \"inlet\"\n" +
         part +
         "[[header.part]]\nbehind = \"inlet\"\nkind = \"pipe\"\nlength = \"0.4 m\"\n"
         "[run]\nduration = \"5 ms\"\ncell_size = \"10 mm\"\n";
}

struct BuiltPart {
  models::EngineSpecification engine;  // without its ends
  cases::TailPart part;
};

// The first end left to be driven, the last one without reflection.
BuiltPart built_part(const std::string& part) {
  const cases::CaseFile c = cases::read_case_text(case_with(part), "part.toml");
  BuiltPart built{cases::build_engine(c, c.headers.front()), c.headers.front().parts.front()};
  auto& e = built.engine;
  e.closed_ends.erase(e.closed_ends.begin());
  e.anechoic_ends = {{e.open_ends.front().end}};
  e.open_ends.clear();
  return built;
}

// Transmission loss at a complex frequency, dB, of a pulse into the first pipe.
class BuiltLoss {
 public:
  BuiltLoss(const models::EngineSpecification& e, const solver::Gas& gas, double duration)
      : before_(still_gas(gas, e.ambient), 0, 10),
        behind_(still_gas(gas, e.ambient), static_cast<std::size_t>(e.anechoic_ends[0].end.pipe),
                10) {
    PipeRig rig(with_wave(e, {0, Side::left}, pulse(e.ambient.pressure, 20.0, 0.8e-3)), gas);
    record(rig, duration, {&before_, &behind_});
  }
  double operator()(Complex s) const {
    return 20 * std::log10(std::abs(before_.right(s) / behind_.right(s)));
  }

 private:
  WaveRecord before_, behind_;
};

FourPole shunt(Complex admittance) {
  FourPole T;
  T << 1, 0, admittance, 1;
  return T;
}

// dB, between pipes of that bore.
double loss_of(const FourPole& T, const Medium& gas) {
  const Complex Z = gas.rho * gas.c / circle_area(bore);
  return 20 * std::log10(0.5 * std::abs(T(0, 0) + T(0, 1) / Z + T(1, 0) * Z + T(1, 1)));
}

struct Comparison {
  std::string name;
  std::function<FourPole(const Medium&, Complex)> theory;
  double damping = 0;  // 1/s
  double from = 40, to = 1000, worst = 0;
  std::string why;
};

// Curves over frequency, the worst deviation, and the place of the highest peak.
void compare(CaseReport& report, const models::EngineSpecification& e, const Comparison& with,
             const Source& source) {
  const auto gas = gas_with_sound_speed(sound_speed, e.ambient.temperature);
  const StillGas still = still_gas(gas, e.ambient);
  const Medium medium{still.rho, still.c};
  const BuiltLoss computed(e, gas, 0.15);
  Plot plot{with.name, "Hz", "dB", {{"four-poles", {}, {}}, {"computed", {}, {}, true}}};
  double worst = 0;
  std::array<double, 2> peak{0, 0}, peak_at{0, 0};
  for (double f = with.from; f <= with.to; f += 5) {
    const Complex s(with.damping, 2 * std::numbers::pi * f);
    const std::array<double, 2> loss{loss_of(with.theory(medium, s), medium), computed(s)};
    for (std::size_t i = 0; i < 2; ++i) {
      plot.curves[i].x.push_back(f);
      plot.curves[i].y.push_back(loss[i]);
      if (loss[i] > peak[i]) peak_at[i] = f;
      peak[i] = std::max(peak[i], loss[i]);
    }
    worst = std::max(worst, std::abs(loss[1] - loss[0]));
  }
  report.plots.push_back(plot);
  report.figures.push_back(
      {with.name + ": worst deviation", "dB", 0, worst, with.worst, false, with.why, source});
  report.figures.push_back({with.name + ": frequency of the highest loss", "Hz", peak_at[0],
                            peak_at[1], 0.02, true, "2 %: cells of 10 mm", source});
  report.figures.push_back(
      {with.name + ": highest loss", "dB", peak[0], peak[1], with.worst, false, with.why, source});
}

constexpr double frequency_damping = 60;  // 1/s: rounds off peaks without losses, theory alike

}  // namespace

CaseReport extended_chamber(Broken broken) {
  CaseReport report;
  report.title = "Chamber with tubes that reach into it, built from a case: transmission loss";
  report.text =
      "Tubes of 50 mm, chamber of 150 mm by 0.4 m; inlet tube 0.2 m inside, outlet tube 0.1 m. The "
      "space round each tube is a closed branch. The tuned lengths fill the pass bands of the "
      "chamber. Without flow, damped by 60 1/s, theory alike.";
  const Source source{"Munjal (1987), chapter 2: extended-tube chamber by four-poles",
                      Confidence::computed};
  const BuiltPart built = built_part(fmt::format(
      "kind = \"chamber\"\ndiameter = \"{} mm\"\nlength = \"400 mm\"\ninlet_inside = \"200 "
      "mm\"\noutlet_inside = \"100 mm\"\n",
      broken == Broken::area_term ? 100 : 150));
  constexpr double reach = 0.2;
  const double wide = circle_area(0.15);
  const double round = wide - circle_area(bore);
  const auto theory = [=](const Medium& gas, Complex s) -> FourPole {
    const auto stub = [&](double length) {
      return shunt(admittance_of_closed(pipe_four_pole(gas, length, round, s)));
    };
    return pipe_four_pole(gas, reach, circle_area(bore), s) * stub(reach) *
           pipe_four_pole(gas, 0.4 - reach - 0.1, wide, s) * stub(0.1) *
           pipe_four_pole(gas, 0.1, circle_area(bore), s);
  };
  compare(report, built.engine,
          {"extended tubes", theory, frequency_damping, 40, 800, 1.5,
           "1.5 dB, near the peak of the quarter wave, whose place moves by 1 % on cells of 10 mm"},
          source);
  return report;
}

CaseReport helmholtz_branch(Broken broken) {
  CaseReport report;
  report.title = "Helmholtz resonator on the side of a pipe, built from a case: transmission loss";
  report.text =
      "Pipe of 50 mm, neck of 30 mm by 50 mm with its end corrections, 1 litre. Without flow, "
      "damped "
      "by 60 1/s, theory alike.";
  const Source source{"Munjal (1987), chapter 2: Helmholtz resonator as a branch",
                      Confidence::computed};
  BuiltPart built = built_part(
      "kind = \"helmholtz\"\ntube = \"30 mm ID\"\nlength = \"50 mm\"\nvolume = \"1 L\"\n");
  if (broken == Broken::end_correction) {
    for (auto& pipe : built.engine.pipes) {
      if (pipe.name == "part 1 helmholtz neck") pipe.profile.back().x = pipe.length = 0.05;
    }
  }
  // Hand-worked: x = 0.6, a (0.9326 - 0.6196 x) = 0.56084 a towards the pipe, 0.848826 a inside.
  const double neck = 0.05 + 0.015 * (0.56084 + 0.848826);
  const auto theory = [=](const Medium& gas, Complex s) -> FourPole {
    const Complex vessel = gas.rho * gas.c * gas.c / (1e-3 * s);
    return shunt(admittance_of(pipe_four_pole(gas, neck, circle_area(0.03), s), vessel));
  };
  compare(report, built.engine,
          {"Helmholtz branch", theory, frequency_damping, 40, 600, 1.0,
           "1 dB at the peak, 0.2 dB elsewhere: its place is right within 1 % on four cells"},
          source);
  return report;
}

namespace {

// Core and space that are coupled all along, closed space at both ends: the equations of waves in
// both,
//   p1' = -s rho/A1 q1   q1' = -s A1/(rho c^2) p1 - y (p1 - p2)
//   p2' = -s rho/A2 q2   q2' = -s A2/(rho c^2) p2 + y (p1 - p2)
// y: admittance of the holes per length. Munjal (1987), chapter 3.
FourPole concentric_tube(const Medium& gas, const cases::TailPart& part, double resistance,
                         Complex s) {
  const double A1 = circle_area(bore);
  const double A2 = circle_area(part.diameter) - circle_area(bore + 2 * part.core_wall);
  const double holes = part.hole_share * std::numbers::pi * bore;  // m2 per m
  const Complex impedance =
      gas.rho * (resistance * gas.c + s * (part.core_wall + 0.75 * part.hole_diameter));
  const Complex y = holes / impedance;
  // The mean of p1 and p2 by area and their difference are waves of their own; q2 = 0 at both ends
  // sets their slopes by that of p1. In hyperbolic functions that do not cancel where the
  // difference decays fast.
  const double share = A1 / (A1 + A2);
  const Complex k = s / gas.c;
  const Complex k_difference = std::sqrt(k * k + s * gas.rho * y * (1 / A1 + 1 / A2));
  const Complex inertia = s * gas.rho / A1;
  const auto impedance_of = [&](const auto& f) {
    return inertia * (share * f(k * part.length) / k +
                      (1 - share) * f(k_difference * part.length) / k_difference);
  };
  const Complex Z_here = impedance_of([](Complex x) { return 1.0 / std::tanh(x); });
  const Complex Z_across = impedance_of([](Complex x) { return 1.0 / std::sinh(x); });
  FourPole T;
  T << Z_here / Z_across, (Z_here * Z_here - Z_across * Z_across) / Z_across, 1.0 / Z_across,
      Z_here / Z_across;
  return T;
}

}  // namespace

CaseReport perforated_muffler(Broken broken) {
  CaseReport report;
  report.title = "Perforated core in a shell, built from a case: transmission loss";
  report.text =
      "Core of 50 mm in a shell of 120 mm, 0.4 m, without packing and without flow; 5 and 30 % of "
      "holes of 4 mm in a wall of 1.2 mm. The model lumps the holes in five places, theory spreads "
      "them. With many holes the muffler is a chamber to waves long against it; with few the holes "
      "resonate. Damped by 60 1/s, theory alike.";
  const Source source{
      "Sullivan & Crocker (1978), Munjal (1987), chapter 3: concentric-tube resonator, coupled "
      "equations; impedance at rest of Rao & Munjal (1986) and Sullivan & Crocker (1978)",
      Confidence::computed};
  for (const double share : {0.3, 0.05}) {
    const BuiltPart built = built_part(fmt::format(
        "kind = \"straight-through\"\ndiameter = \"{} mm\"\nlength = \"400 mm\"\nhole_share = {}\n",
        broken == Broken::area_term ? 90 : 120, share));
    cases::TailPart part = built.part;
    part.diameter = 0.12;
    const auto theory = [part](const Medium& gas, Complex s) {
      return concentric_tube(gas, part, 7.337e-3, s);
    };
    compare(report, built.engine,
            {fmt::format("{:.0f} % of holes", 100 * share), theory, frequency_damping, 40, 700, 1.5,
             "1.5 dB: places 80 mm apart are a sixth of the wavelength at 700 Hz in this gas"},
            source);
  }
  return report;
}

}  // namespace pulsewright::validation
