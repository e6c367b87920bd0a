// Distance of every point to the mesh: CGAL's AABB tree, double precision.
#include "scene.hpp"
#include <CGAL/AABB_traits.h>
#include <CGAL/AABB_tree.h>
#include <CGAL/AABB_triangle_primitive.h>
#include <CGAL/Simple_cartesian.h>
#include <cmath>

using Kernel = CGAL::Simple_cartesian<double>;
using Triangles = std::vector<Kernel::Triangle_3>;
using Tree = CGAL::AABB_tree<CGAL::AABB_traits<Kernel, CGAL::AABB_triangle_primitive<Kernel, Triangles::iterator>>>;

int main(int, char** arguments) {
  const Scene scene = readScene(arguments[1]);
  Triangles triangles;
  triangles.reserve(scene.triangles);
  for (uint32_t i = 0; i < scene.triangles; i++) {
    const double* c = &scene.corners[size_t(9) * i];
    // The library asks for triangles that have an area.
    if (squareOfArea(c) > 0) triangles.emplace_back(Kernel::Point_3(c[0], c[1], c[2]), Kernel::Point_3(c[3], c[4], c[5]), Kernel::Point_3(c[6], c[7], c[8]));
  }
  const auto start = now();
  Tree tree(triangles.begin(), triangles.end());
  tree.accelerate_distance_queries();
  const double built = secondsSince(start);
  std::vector<double> distances(scene.points);
  const auto asking = now();
  for (uint32_t i = 0; i < scene.points; i++) {
    const double* p = &scene.point[size_t(3) * i];
    distances[i] = std::sqrt(tree.squared_distance(Kernel::Point_3(p[0], p[1], p[2])));
  }
  writeAnswer(arguments[2], built, secondsSince(asking), distances);
}
