import type { OfficeTexts } from '../say.ts';

export const texts: OfficeTexts = {
  skip: 'Aller à la page',
  menu: 'Menu',
  season: 'Saison',
  sites: 'Sites',
  designs: 'Plans types',
  materials: 'Matériaux',
  reports: 'Rapports',
  field: 'Terrain',
  language: 'Langue',
  light: 'Clarté',
  'light-system': 'Comme l’appareil',
  'light-light': 'Clair',
  'light-dark': 'Sombre',
  'sign-in': 'Se connecter',
  'sign-out': 'Se déconnecter',
  email: 'Adresse électronique',
  password: 'Mot de passe',
  organisation: 'Organisation',
  'choose-organisation': 'Vous appartenez à plusieurs organisations. Choisissez-en une.',
  'wrong-credentials': 'L’adresse ou le mot de passe est faux.',
  'what-it-is':
    'Planifier, approvisionner, construire, contrôler et rendre compte d’une saison de citernes communautaires d’eau de pluie, chaque chiffre venant d’un seul moteur de calcul.',
  'standing-caution':
    'Ces pages montrent des vérifications selon des formules publiées. Elles ne connaissent ni votre sol ni votre exécution. Un ingénieur agréé approuve les plans ; seule l’autorité sanitaire peut dire qu’une eau est propre à la boisson.',
  'no-page': 'Il n’y a pas de page à cette adresse.',
  'to-start': 'Vers la première page',
  'no-pages':
    'Vos rôles n’ont pas encore de page ici. Demandez à un administrateur de votre organisation.',
  reference: 'Référence de l’interface',
  about: 'À propos de ce service',
};
