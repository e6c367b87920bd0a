// Distance of every body at every pose to the mesh: FCL, its libccd solver. Bodies that touch the mesh
// have no distance there: -1. The default tolerance over-states a clearance by 1e-4 mm, and triangles
// without an area make it wrong by millimetres.
#include "scene.hpp"
#include <fcl/fcl.h>
#include <memory>

using Model = fcl::BVHModel<fcl::OBBRSSd>;

/** Turns z to the axis. */
static fcl::Matrix3d turned(const fcl::Vector3d& axis) {
  return fcl::Quaterniond::FromTwoVectors(fcl::Vector3d::UnitZ(), axis).toRotationMatrix();
}

int main(int, char** arguments) {
  const Scene scene = readScene(arguments[1]);
  const auto start = now();
  auto model = std::make_shared<Model>();
  model->beginModel(int(scene.triangles), int(3 * scene.triangles));
  for (uint32_t i = 0; i < scene.triangles; i++) {
    const double* c = &scene.corners[size_t(9) * i];
    if (squareOfArea(c) > 0) model->addTriangle({c[0], c[1], c[2]}, {c[3], c[4], c[5]}, {c[6], c[7], c[8]});
  }
  model->endModel();
  const double built = secondsSince(start);
  const fcl::CollisionObjectd part(model);
  std::vector<double> distances;
  const auto asking = now();
  for (uint32_t i = 0; i < scene.poses; i++) {
    const double* p = &scene.pose[size_t(6) * i];
    const fcl::Vector3d point(p[0], p[1], p[2]), axis(p[3], p[4], p[5]);
    for (uint32_t j = 0; j < scene.bodies; j++) {
      const double* b = &scene.body[size_t(4) * j];
      std::shared_ptr<fcl::CollisionGeometryd> shape;
      if (b[0] == 0) shape = std::make_shared<fcl::Sphered>(b[1]);
      else shape = std::make_shared<fcl::Cylinderd>(b[1], b[3] - b[2]);
      const fcl::CollisionObjectd body(shape, turned(axis), point + axis * ((b[2] + b[3]) / 2));
      fcl::DistanceRequestd request;
      request.gjk_solver_type = fcl::GST_LIBCCD;
      request.distance_tolerance = 1e-10;
      fcl::DistanceResultd result;
      distances.push_back(fcl::distance(&part, &body, request, result));
    }
  }
  writeAnswer(arguments[2], built, secondsSince(asking), distances);
}
