// The parts of which every header's network is composed.
#pragma once

#include <string>
#include <vector>

#include "cases/case_file.hpp"
#include "cases/header_builder.hpp"

namespace pulsewright::cases {

// Where the first pipe of a collector ends that is joined to the others (joined_collectors.hpp).
struct CollectorEnd {
  const CollectorGroup* group = nullptr;
  int pipe = -1;
  std::vector<models::ProfilePoint> profile;        // of the whole collector, from its merge
  double behind = 0;                                // m from its crotch to its merge
  Eigen::Vector3d outlet{Eigen::Vector3d::Zero()};  // m, of its open end, if it has one
};

class NetworkBuilder {
 public:
  NetworkBuilder(const CaseFile& case_file, const BuildOptions& options, const std::string& name);

  // Adds a pipe; sets its cell size. Returns its index.
  int add_pipe(models::PipeSpecification pipe);
  // A pipe with the roughness, heat and wall that [exhaust] gives; length from the profile.
  models::PipeSpecification exhaust_pipe(std::string name,
                                         std::vector<models::ProfilePoint> profile,
                                         double wall) const;
  // The tube from the exhaust valve of a cylinder to the end of its length behind the flange and
  // `beyond` (m), port included. Returns its last pipe.
  int add_primary(const HeaderDesign& header, int cylinder, double beyond = 0);
  // m along the axis of the collector from the crotch of tubes of that diameter (m) to where their
  // pipes meet.
  double merge_behind_crotch(double tube_diameter) const;
  void connect_exhaust(int cylinder, models::PipeEnd end);
  // Appends a pipe to the way of a cylinder's pulse.
  void extend_path(int cylinder, int pipe);
  models::JunctionSpecification& add_junction(std::string name);
  // A sudden step from the right end of one pipe to the left end of the next: the momentum law,
  // whatever the merges are, which is Borda and Carnot's loss where the second pipe is wider. Where
  // it is narrower, the pipe gets the loss of a sudden contraction.
  void add_joint(std::string name, int before, int behind);
  void add_outlet(models::PipeEnd end, const Eigen::Vector3d& position);
  // In the order of the groups; empty for collectors that are not joined.
  std::vector<CollectorEnd>& collector_ends() { return collector_ends_; }

  models::EngineSpecification& engine() { return engine_; }
  double cell_size() const { return cell_size_; }

 private:
  const CaseFile& case_;
  BuildOptions options_;
  double cell_size_;
  models::EngineSpecification engine_;
  std::vector<CollectorEnd> collector_ends_;
};

// Direction from a junction into a pipe that enters along +x at an angle to the axis and an azimuth
// round it (both in deg): (-cos angle, sin angle cos azimuth, sin angle sin azimuth).
Eigen::Vector3d incoming_direction(double angle_deg, double azimuth_deg);
// The same for a pipe that leaves: (cos angle, sin angle cos azimuth, sin angle sin azimuth).
Eigen::Vector3d outgoing_direction(double angle_deg, double azimuth_deg);

// Gives the narrower of two pipes that follow each other what gas loses that enters it through
// their sudden step, beyond what a junction of the momentum law loses there: see
// models::contraction_loss(). Nothing where their diameters are equal.
void lose_at_step(models::PipeSpecification& before, models::PipeSpecification& behind);

}  // namespace pulsewright::cases
