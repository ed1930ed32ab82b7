#include "cases/read_cam.hpp"

#include <cmath>
#include <fmt/format.h>

#include "cases/valve_check.hpp"

namespace pulsewright::cases {
namespace {

constexpr double overlap_top = 360;

bool from_top(const ValveEvent& event) {
  return event.from == DeadCentre::before_top || event.from == DeadCentre::after_top;
}

// Exhaust events belong to the dead centres that an exhaust valve works round, and likewise intake.
void check_event_sides(Section& s, const std::optional<ValveEvent>& opens,
                       const std::optional<ValveEvent>& closes,
                       const std::optional<ValveEvent>& centerline, bool exhaust) {
  if (opens && from_top(*opens) == exhaust) {
    s.problem(
        "opens",
        exhaust ? "is counted from top dead centre; an exhaust valve opens near bottom"
                : "is counted from bottom dead centre; an intake valve opens near top",
        exhaust ? "for example: opens = \"74 deg BBDC\"" : "for example: opens = \"34 deg BTDC\"");
  }
  if (closes && from_top(*closes) != exhaust) {
    s.problem("closes",
              exhaust ? "is counted from bottom dead centre; an exhaust valve closes near top"
                      : "is counted from top dead centre; an intake valve closes near bottom",
              exhaust ? "for example: closes = \"30 deg ATDC\""
                      : "for example: closes = \"70 deg ABDC\"");
  }
  if (centerline && !from_top(*centerline)) {
    s.problem("centerline", "is not counted from top dead centre",
              exhaust ? "for example: centerline = \"112 deg BTDC\""
                      : "for example: centerline = \"108 deg ATDC\"");
  }
}

// The table as it is written; lifts of the follower.
struct CamTable {
  std::optional<ValveEvent> opens, closes, centerline;
  double timing_lift = 0, checking_lift = 0, advertised_lift = 0;  // m
  double duration = 0, advertised_duration = 0;                    // deg
  double lift = 0, lobe_lift = 0, rocker_ratio = 1, lash = 0;
  std::string follower;
  double exponent = 0;
};

CamTable read_table(Section& s, bool exhaust) {
  CamTable t;
  t.opens = s.event("opens");
  t.closes = s.event("closes");
  t.timing_lift = s.quantity("timing_lift");
  // Full lift of an exhaust valve lies before top dead centre, of an intake valve after it.
  t.centerline = s.event("centerline", exhaust ? DeadCentre::before_top : DeadCentre::after_top);
  t.lift = s.quantity("lift");
  t.lobe_lift = s.quantity("lobe_lift");
  t.rocker_ratio = s.number("rocker_ratio");
  t.follower = s.choice("follower");
  t.lash = s.quantity("lash");
  t.duration = s.quantity("duration");
  t.checking_lift = s.quantity("checking_lift");
  t.advertised_duration = s.quantity("advertised_duration");
  t.advertised_lift = s.quantity("advertised_lift");
  t.exponent = s.number("lobe_exponent");
  s.finish();
  return t;
}

void check_events_given(Section& s, bool centerline_known) {
  if (s.has("opens") != s.has("closes")) {
    s.problem(s.has("opens") ? "closes" : "opens", "is missing; a card gives both or none",
              "give opens, closes and timing_lift, or the duration with the lobe centerline");
  } else if (s.has("opens") && !s.has("timing_lift")) {
    s.problem("opens",
              "does not say at which lift; timing at 0.050 in and timing at the seat differ by 20 "
              "to 45 deg at each end",
              "add what the card is printed for: timing_lift = \"0.050 in\" or \"1 mm\" of the "
              "follower, or \"0 in\" where the lobe begins and ends to lift");
  } else if (!s.has("opens") && s.has("timing_lift")) {
    s.problem("timing_lift", "is given without opens and closes", "give both, or remove it");
  } else if (!s.has("opens") && !s.has("duration") && !s.has("advertised_duration")) {
    s.problem("duration", "is missing; the card has no timing without it",
              "give opens, closes and timing_lift, or the duration with the lobe centerline");
  } else if (!s.has("opens") && !centerline_known) {
    s.problem("centerline", "is missing; a duration alone does not say where the lobe stands",
              "give it here, or lobe_separation and intake_centerline under [cam]");
  }
}

void check_lift_given(Section& s, const CamTable& t) {
  // Cards round lifts to thousandths of an inch and ratios to a hundredth.
  constexpr double rounding = 0.01;
  if (!s.has("lift") && !s.has("lobe_lift")) {
    s.problem("lift", "is missing",
              "give the full lift at the valve, or lobe_lift and rocker_ratio");
  } else if (s.has("lobe_lift") && !s.has("rocker_ratio")) {
    s.problem("rocker_ratio", "is missing; lobe_lift needs it",
              "for example: rocker_ratio = 1.6, or 1 where the cam moves the valve directly");
  } else if (s.has("lift") && s.has("lobe_lift") &&
             std::abs(t.lobe_lift * t.rocker_ratio - t.lift) > rounding * t.lift) {
    s.problem("lobe_lift",
              fmt::format("times a rocker ratio of {:.4g} is {}, and lift is {}", t.rocker_ratio,
                          s.shown().length(t.lobe_lift * t.rocker_ratio), s.shown().length(t.lift)),
              "keep the one that is right");
  }
}

void check_followers(Section& s, const CamTable& t) {
  if (t.follower == "hydraulic" && t.lash > 0) {
    s.problem("lash", "is given, and hydraulic followers have none", "remove it");
  } else if (t.follower == "solid" && !s.has("lash")) {
    s.problem("lash", "is missing; solid followers run with clearance",
              "for example: lash = \"0.018 in\", measured at the valve");
  }
  if (s.has("advertised_duration") != s.has("advertised_lift")) {
    s.problem(s.has("advertised_lift") ? "advertised_duration" : "advertised_lift",
              "is missing; the advertised duration of a cam depends on the lift that its maker "
              "counts from",
              "for example: advertised_duration = \"282 deg\", advertised_lift = \"0.006 in\"");
  }
  const int figures = (s.has("opens") ? 1 : 0) + (s.has("duration") ? 1 : 0) +
                      (s.has("advertised_duration") ? 1 : 0);
  if (s.has("lobe_exponent") && figures > 1) {
    s.problem("lobe_exponent", "is given, and the durations of the card set it already",
              "remove it");
  }
}

std::string_view card_key(const Section& s) {
  for (const std::string_view key : {"advertised_duration", "duration", "centerline"}) {
    if (s.has(key)) return key;
  }
  return s.has("lift") ? "lift" : "lobe_lift";
}

// Opening and closing of the card on the crank; none if they are not given or lie the wrong way
// round, which is noted.
std::optional<ValveTiming> timing_of(Section& s, const CamTable& t, double bottom) {
  if (!t.opens || !t.closes) return std::nullopt;
  const ValveTiming timing{t.timing_lift * t.rocker_ratio,
                           crank_angle(*t.opens, overlap_top, bottom),
                           crank_angle(*t.closes, overlap_top, bottom)};
  if (timing.opens_deg < timing.closes_deg) return timing;
  s.problem("closes",
            fmt::format("lies {:.4g} deg of crank before the valve opens",
                        timing.opens_deg - timing.closes_deg),
            "a valve opens before it closes; check BBDC, ABDC, BTDC and ATDC");
  return std::nullopt;
}

CamCard card_of(Section& s, const CamTable& t, const std::optional<ValveTiming>& timing,
                std::optional<double> centerline_deg) {
  CamCard card;
  card.timing = timing;
  card.centerline_deg = centerline_deg;
  card.lift = s.has("lift") ? t.lift : t.lobe_lift * t.rocker_ratio;
  card.lash = t.lash;
  card.rocker_ratio = t.rocker_ratio;
  if (t.duration > 0) card.durations.push_back({t.checking_lift * t.rocker_ratio, t.duration});
  if (t.advertised_duration > 0) {
    card.durations.push_back({t.advertised_lift * t.rocker_ratio, t.advertised_duration});
  }
  if (s.has("lobe_exponent")) card.exponent = t.exponent;
  return card;
}

// A centerline far from the middle of the timing is more likely that of the other valve or card.
void check_symmetry(Section& s, const ValveTiming& timing, double centerline_deg,
                    std::string_view key) {
  constexpr double usual_deg = 6;  // common practice, no source: lobes differ by a few deg
  const double middle = (timing.opens_deg + timing.closes_deg) / 2;
  if (std::abs(centerline_deg - middle) <= usual_deg) return;
  s.remark(key,
           fmt::format("has full lift {:.3g} deg from the middle between opening and closing",
                       std::abs(centerline_deg - middle)),
           "lobes are symmetric within a few degrees; check timing and centerline");
}

}  // namespace

std::optional<LobeCenterlines> read_centerlines(Section s) {
  const double separation = s.quantity("lobe_separation");
  const auto intake = s.event("intake_centerline", DeadCentre::after_top);
  s.finish();
  for (const std::string_view key : {"lobe_separation", "intake_centerline"}) {
    if (!s.present() || s.has(key)) continue;
    s.wrong_value(key, "is missing; one does not say where both lobes stand without the other",
                  example_line(*find_parameter("cam", key)));
  }
  if (!s.present() || !intake || !(separation > 0)) return std::nullopt;
  if (!from_top(*intake)) {
    s.wrong_value("intake_centerline", "is not counted from top dead centre",
                  "for example: intake_centerline = \"106 deg ATDC\"");
    return std::nullopt;
  }
  const double centerline = crank_angle(*intake, overlap_top, 540);
  // Lobe separation is counted on the camshaft, which turns half as fast.
  return LobeCenterlines{centerline - 2 * separation, centerline};
}

std::optional<Lobe> read_cam(Section s, Problems& problems, bool exhaust,
                             std::optional<double> centerline_deg) {
  const CamTable t = read_table(s, exhaust);
  if (s.has("centerline") && centerline_deg) {
    s.problem("centerline", "is given beside [cam], which says where both lobes stand",
              "keep one of the two");
  }
  check_event_sides(s, t.opens, t.closes, t.centerline, exhaust);
  check_events_given(s, s.has("centerline") || centerline_deg || problems.is_wrong("cam"));
  check_lift_given(s, t);
  check_followers(s, t);
  if (problems.any()) return std::nullopt;
  const double bottom = exhaust ? 180 : 540;
  const auto timing = timing_of(s, t, bottom);
  if (problems.any()) return std::nullopt;
  if (t.centerline) centerline_deg = crank_angle(*t.centerline, overlap_top, bottom);
  const bool at_seat = timing && timing->lift == 0;
  if (at_seat) check_timing(s, "opens", "closes", timing->opens_deg, timing->closes_deg, exhaust);
  try {
    const Lobe lobe = lobe_of_card(card_of(s, t, timing, centerline_deg), s.shown());
    if (!at_seat) {
      check_timing(s, timing ? "opens" : card_key(s), timing ? "closes" : card_key(s),
                   lobe.opens_deg, lobe.closes_deg, exhaust);
    }
    if (at_seat) check_duration(s, lobe.closes_deg - lobe.opens_deg, t.duration, t.checking_lift);
    if (timing && centerline_deg) {
      check_symmetry(s, *timing, *centerline_deg, t.centerline ? "centerline" : "opens");
    }
    if (lobe.assumed && !s.has("lobe_exponent")) {
      s.assume("lobe_exponent", at_seat ? "2" : "2.5", "2", "3",
               "the card has one duration only, which leaves the ramps open");
    }
    return lobe;
  } catch (const CamError& error) {
    s.problem(card_key(s), error.what(),
              "check the card; a measured lift_table may be given instead");
  }
  return std::nullopt;
}

}  // namespace pulsewright::cases
