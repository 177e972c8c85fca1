import type { PartTexts } from '../say.ts';

export const texts: PartTexts = {
  loading: 'Chargement…',
  retry: 'Réessayer',
  close: 'Fermer',
  cancel: 'Annuler',
  caution: 'Attention',
  problem: 'Problème',
  unreachable: 'Le service ne répond pas. Vérifiez le réseau, puis réessayez.',
  'no-right': 'Vous ne pouvez pas voir ceci',
  'no-right-detail':
    'Un administrateur de votre organisation peut vous donner un rôle qui le permet.',
  'not-found': 'Introuvable',
  'not-found-detail': 'Cette fiche n’existe pas, ou elle appartient à une autre organisation.',
  'request-id': 'Requête {id}',
  'wrong-field': '{field} : {message}',
  'status-planned': 'Prévue',
  'status-started': 'Commencée',
  'status-on-hold': 'Arrêtée',
  'status-complete': 'Achevée',
  'status-handed-over': 'Remise',
  'status-cancelled': 'Annulée',
  'tank-label': '{code} : {status}, achevée à {percent}',
};
