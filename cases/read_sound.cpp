#include "cases/read_sound.hpp"

namespace pulsewright::cases {

models::ListeningSpecification read_sound(Section s) {
  models::ListeningSpecification out;
  const std::vector<double> microphone = s.quantities("microphone");
  out.distance = s.quantity("distance");
  out.angle_deg = s.quantity("angle");
  out.outlet_height = s.quantity("outlet_height");
  out.ground_reflection = s.number("ground_reflection");
  s.finish();
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
