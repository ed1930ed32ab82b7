#include "cases/read_sound.hpp"

#include <fmt/format.h>

namespace pulsewright::cases {

namespace {

// Outlets with places of their own, which count z from outlet_height above the ground.
void check_outlets(Section& s, double outlet_height, const std::vector<HeaderDesign>& headers) {
  for (const HeaderDesign& header : headers) {
    for (const NetworkPipe& pipe : header.pipes) {
      const bool is_open = pipe.from.kind == NodeKind::open || pipe.to.kind == NodeKind::open;
      if (!is_open || pipe.open_end.position.z() + outlet_height >= 0) continue;
      s.problem("outlet_height",
                fmt::format("leaves the outlet of pipe \"{}\" of header \"{}\" below the ground",
                            pipe.pipe.name, header.name),
                "z of an outlet counts from outlet_height above the ground");
      return;
    }
  }
}

}  // namespace

models::ListeningSpecification read_sound(Section s, const std::vector<HeaderDesign>& headers) {
  models::ListeningSpecification out;
  const std::vector<double> microphone = s.quantities("microphone");
  out.distance = s.quantity("distance");
  out.angle_deg = s.quantity("angle");
  out.outlet_height = s.quantity("outlet_height");
  out.ground_reflection = s.number("ground_reflection");
  s.finish();
  check_outlets(s, out.outlet_height, headers);
  if (!s.has("microphone")) return out;
  for (const char* key : {"distance", "angle"}) {
    if (s.has(key)) s.problem(key, "is given beside microphone", "keep one of the two");
  }
  if (microphone.size() != 3) {
    s.problem("microphone", "is not a place: x, y and z",
              "for example: microphone = [\"5.3 m\", \"5.3 m\", \"0.9 m\"]");
    return out;
  }
  if (microphone[2] + out.outlet_height < 0) {
    s.problem("microphone", "lies below the ground",
              "z counts from the height of the outlets, outlet_height above the ground");
  }
  out.microphone = Eigen::Vector3d(microphone[0], microphone[1], microphone[2]);
  return out;
}

}  // namespace pulsewright::cases
